package pipeline_test

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"boutwise/pipeline"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/tables"
)

// TestLateMeasurement brings a measurement in late, dated in the middle of what
// is known. Exactly the sessions that it governs are judged anew, from its day
// up to the next measurement of the same quantity: their rows change, nobody
// else's do, and the summary counts them.
func TestLateMeasurement(t *testing.T) {
	dir := smallPractice(t)
	path := filepath.Join(dir, "measurements.csv")
	plain, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	run(t, pipeline.Run, dir)
	days := sessionDays(t, dir)
	if len(days) < 10 {
		t.Fatalf("only %d sessions to tell apart", len(days))
	}
	// c101's sessions lie from 2026-03-31 to 2026-05-01; what the demonstration
	// knows of her heart rates is replaced.
	plain = without(plain, "c101", "_hr_bpm")
	const rates = "c101,2026-03-25,resting_hr_bpm,63\nc101,2026-03-25,max_hr_bpm,166\n"
	tests := []struct {
		name        string
		known, late string // rows beside the demonstration's own
		from, until string // the days governed; until is the first that is not
		none        bool   // no session lies in them
	}{
		{"up to the next one", rates + "c101,2026-04-20,max_hr_bpm,168\n", "c101,2026-04-08,max_hr_bpm,171\n", "2026-04-08", "2026-04-20", false},
		{"the latest", rates, "c101,2026-04-15,max_hr_bpm,171\n", "2026-04-15", "2027-01-01", false},
		{"a resting rate", rates + "c101,2026-04-27,resting_hr_bpm,62\n", "c101,2026-04-14,resting_hr_bpm,58\n", "2026-04-14", "2026-04-27", false},
		{"a single day", rates + "c101,2026-04-16,max_hr_bpm,168\n", "c101,2026-04-15,max_hr_bpm,171\n", "2026-04-15", "2026-04-16", false},
		{"before the first, which held for all before it", "c101,2026-03-25,resting_hr_bpm,63\nc101,2026-04-13,max_hr_bpm,166\n", "c101,2026-04-06,max_hr_bpm,171\n", "2026-01-01", "2026-04-13", false},
		{"the first of all, for which an estimate stood", "c101,2026-03-25,resting_hr_bpm,63\n", "c101,2026-04-13,max_hr_bpm,166\n", "2026-01-01", "2027-01-01", false},
		{"of days without a session", rates + "c101,2026-03-30,max_hr_bpm,166\n", "c101,2026-03-26,max_hr_bpm,171\n", "2026-03-26", "2026-03-30", true},
		{"the same value again", rates, "c101,2026-04-15,max_hr_bpm,166\n", "2026-01-01", "2026-01-01", true},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			write := func(rows string) {
				if err := os.WriteFile(path, append(slices.Clone(plain), rows...), 0o600); err != nil {
					t.Fatal(err)
				}
			}
			write(tt.known)
			run(t, pipeline.Reprocess, dir)
			before, weeksBefore, others := rowsBySession(t, dir, "c101"), rowsByWeek(t, dir, "c101"), parquetOf(t, dir, "c102")
			write(tt.known + tt.late)
			sum := run(t, pipeline.Reprocess, dir)

			var governed []string
			for id, day := range days {
				if day >= mustParse(t, tt.from) && day < mustParse(t, tt.until) {
					governed = append(governed, id)
				}
			}
			slices.Sort(governed)
			if (len(governed) == 0) != tt.none {
				t.Fatalf("%d sessions are governed", len(governed))
			}
			if diff := cmp.Diff(governed, changedKeys(before, rowsBySession(t, dir, "c101"))); diff != "" {
				t.Errorf("sessions governed and sessions whose rows changed:\n%s", diff)
			}
			for _, week := range changedKeys(weeksBefore, rowsByWeek(t, dir, "c101")) {
				if !slices.ContainsFunc(governed, func(id string) bool { return days[id].ISOWeek() == week }) {
					t.Errorf("week %s changed, which holds no governed session", week)
				}
			}
			if sum.Refreshed.Sessions != len(governed) || sum.Refreshed.Measured != 0 {
				t.Errorf("counted %d sessions judged anew, %d measured; want %d and none", sum.Refreshed.Sessions, sum.Refreshed.Measured, len(governed))
			}
			if diff := cmp.Diff(others, parquetOf(t, dir, "c102")); diff != "" {
				t.Errorf("another client's tables changed:\n%s", diff)
			}
		})
	}
}

// run runs or reprocesses the practice.
func run(t *testing.T, how func(context.Context, pipeline.Options) (pipeline.Summary, error), dir string) pipeline.Summary {
	t.Helper()
	sum, err := how(context.Background(), demoOptions(dir))
	if err != nil {
		t.Fatal(err)
	}
	return sum
}

func mustParse(t *testing.T, s string) calendar.Date {
	t.Helper()
	day, err := calendar.ParseDate(s)
	if err != nil {
		t.Fatal(err)
	}
	return day
}

// sessionDays gives each of c101's sessions its local day.
func sessionDays(t *testing.T, dir string) map[string]calendar.Date {
	days := map[string]calendar.Date{}
	for _, s := range readTable[tables.Session](t, dir, tables.Sessions, "c101") {
		days[s.SessionID] = s.LocalDate
	}
	return days
}

// rowsBySession writes all rows of each session, of every table that has rows
// of sessions alone, as one text.
func rowsBySession(t *testing.T, dir, client string) map[string]string {
	rows := map[string]string{}
	for _, s := range readTable[tables.Session](t, dir, tables.Sessions, client) {
		rows[s.SessionID] += string(tables.EncodeCSV(tables.Sessions, []tables.Session{s}))
	}
	for _, b := range readTable[tables.Bout](t, dir, tables.Bouts, client) {
		rows[b.SessionID] += string(tables.EncodeCSV(tables.Bouts, []tables.Bout{b}))
	}
	for _, b := range readTable[tables.BandTime](t, dir, tables.BandTimes, client) {
		rows[b.SessionID] += string(tables.EncodeCSV(tables.BandTimes, []tables.BandTime{b}))
	}
	return rows
}

// rowsByWeek writes the row of each week as text.
func rowsByWeek(t *testing.T, dir, client string) map[string]string {
	rows := map[string]string{}
	for _, w := range readTable[tables.Week](t, dir, tables.Weeks, client) {
		rows[w.ISOWeek] = string(tables.EncodeCSV(tables.Weeks, []tables.Week{w}))
	}
	return rows
}

// without leaves out a client's rows of the quantities that end so.
func without(sheet []byte, client, quantities string) []byte {
	var kept []byte
	for line := range bytes.Lines(sheet) {
		if cells := strings.Split(string(line), ","); cells[0] != client || !strings.HasSuffix(cells[2], quantities) {
			kept = append(kept, line...)
		}
	}
	return kept
}

// changedKeys lists the keys whose values differ, sorted.
func changedKeys(before, after map[string]string) []string {
	var changed []string
	for key, was := range before {
		if after[key] != was {
			changed = append(changed, key)
		}
	}
	for key := range after {
		if _, known := before[key]; !known {
			changed = append(changed, key)
		}
	}
	slices.Sort(changed)
	return changed
}

// parquetOf is the checksum of every Parquet file of a client.
func parquetOf(t *testing.T, dir, client string) map[string]string {
	sums := snapshot(t, filepath.Join(dir, "out", "parquet"))
	for path := range sums {
		if !strings.HasSuffix(path, "client-"+client+".parquet") {
			delete(sums, path)
		}
	}
	return sums
}
