package practice

import (
	"io/fs"
	"strings"
	"testing"
)

// FuzzSheet feeds one text to every CSV reader and holds that whatever is
// accepted is within the bounds that the rest of the program relies on, and
// that whatever is refused is refused in one line a problem.
func FuzzSheet(f *testing.F) {
	for _, columns := range [][]string{clientColumns, measurementColumns, bandColumns, prescriptionColumns} {
		f.Add([]byte(sheetTemplate(columns, []string{"x"}) + "c1,2026-01-01,base,1,2,3,4,5\n"))
	}
	f.Add([]byte("sep=;\nclient_id;date;quantity;value\nc1;1.2.2026;body_mass_kg;70,5\n"))
	f.Add([]byte("\xff\xfec\x00"))
	f.Add([]byte("client_id\n\"c1\n"))
	f.Fuzz(func(t *testing.T, raw []byte) {
		text, err := plainText(raw)
		if err != nil {
			return
		}
		for _, fuzzed := range []string{clientsFile, measurementsFile, bandsFile, prescriptionsFile} {
			only := func(file string) ([]byte, error) {
				if file != fuzzed {
					return nil, fs.ErrNotExist
				}
				return text, nil
			}
			l := &loader{open: only, today: testDay, p: &Practice{}, known: map[string]bool{"c1": true}}
			l.readSheets()
			for _, p := range l.problems {
				if strings.ContainsAny(p.Error(), "\n\r") {
					t.Fatalf("more than one line: %q", p.Error())
				}
			}
			for _, m := range l.p.Measurements {
				if !(m.Value > 0 && m.Value < 1000) || m.Date < earliestDate || m.Date > testDay+maxAhead {
					t.Fatalf("accepted %+v", m)
				}
			}
			for _, c := range l.p.Clients {
				if c.ID == "" || strings.ContainsAny(c.ID, `/\`) || c.ID[0] == '.' {
					t.Fatalf("accepted %+v", c)
				}
			}
			l.p.histories = l.p.buildHistories()
			l.p.FactsOn("c1", testDay)
			l.p.PrescriptionsOn("c1", testDay)
		}
	})
}

// FuzzSettings holds that practice.toml never leaves a setting outside its
// range, whatever is in it.
func FuzzSettings(f *testing.F) {
	// Short seeds: the fuzzer spends its time on shortening long ones.
	f.Add([]byte("time_zone = \"UTC\"\nkeep_position = true\n[findings]\nsilent_days = 5\nfade_last_pct = 90.5\n"))
	f.Add([]byte("a.b = {c = [1, {d = 2}]}\n[[x]]\ny = nan\n\"a.b\" = 1\n"))
	f.Add([]byte("[bouts]\nmin_confidence = inf\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		l := &loader{open: func(string) ([]byte, error) { return text, nil }, p: &Practice{}}
		l.readSettings()
		for _, d := range settings {
			if x, ok := d.field(&l.p.Settings).(*float64); ok && !(*x >= d.low && *x <= d.high) {
				t.Fatalf("%s is %v", d.key, *x)
			}
		}
	})
}
