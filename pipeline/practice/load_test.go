package practice

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// testDay is the day on which the tests load.
var testDay = day("2026-06-01")

// day is the date written as YYYY-MM-DD.
func day(s string) Date {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		panic(err)
	}
	return DateOf(t)
}

// folder writes files into a new practice folder.
func folder(t testing.TB, files map[string]string) string {
	t.Helper()
	dir := t.TempDir()
	for name, text := range files {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// load loads files that must be right.
func load(t *testing.T, files map[string]string) *Practice {
	t.Helper()
	p, err := loadAsOf(folder(t, files), testDay)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// problems loads files that must be wrong.
func problems(t *testing.T, files map[string]string) Problems {
	t.Helper()
	p, err := loadAsOf(folder(t, files), testDay)
	var found Problems
	if !errors.As(err, &found) {
		t.Fatalf("loaded %v, error %v; want Problems", p, err)
	}
	if p != nil {
		t.Error("a practice came with the problems")
	}
	return found
}

const clientsHeader = "client_id,name,birth_year,sex,hr_limiting_medication\n"

func TestEmptyFolderGivesDefaults(t *testing.T) {
	p := load(t, map[string]string{"inbox/c1/a.fit": ""})
	if diff := cmp.Diff(DefaultSettings().Progress, p.Settings.Progress); diff != "" {
		t.Error(diff)
	}
	if p.Settings.Location != time.UTC {
		t.Errorf("zone %v", p.Settings.Location)
	}
	if f := p.FactsOn("c1", testDay); len(f.Bands) != 0 {
		t.Errorf("bands %v from nothing", f.Bands)
	}
}

func TestMissingFolder(t *testing.T) {
	_, err := Load(filepath.Join(t.TempDir(), "nowhere"))
	if err == nil || !errors.Is(err, os.ErrNotExist) {
		t.Fatal(err)
	}
}

// TestTwelveFaults holds one fault of each of twelve kinds: each gets its own
// line, in the order of file and row, and all in one run.
func TestTwelveFaults(t *testing.T) {
	got := problems(t, map[string]string{
		"practice.toml": "time_zone = \"Europe/Berln\"\n[findings]\nsilent_dys = 5\n",
		"clients.csv": clientsHeader +
			"c1,A,1960,female,no\n" +
			"c2,B,1871,male,no\n" +
			"c1,C,1970,,\n",
		"measurements.csv": "client_id,date,quantity,value\n" +
			"c1,2026-01-01,body_mass_kg,700\n" +
			"c9,2026-01-01,body_mass_kg,70\n" +
			"c1,03/04/2026,body_mass_kg,70\n" +
			"c1,2026-01-01,resting_hr,60\n" +
			"c1,2026-01-01,resting_hr_bpm,90\n" +
			"c1,2026-02-01,max_hr_bpm,85\n" +
			"*,2026-02-01,max_hr_bpm,180\n" +
			"c1,2062-02-01,max_hr_bpm,180\n",
		"bands.csv": "client_id,effective_from,signal,band,lower,unit\n" +
			"*,2026-01-01,heart_rate,easy,0,bpm\n" +
			"*,2026-01-01,heart_rate,steady,120,bpm\n" +
			"*,2026-01-01,heart_rate,hard,120,bpm\n" +
			"c1,2026-01-01,power,easy,90,w\n" +
			"c1,2026-01-01,power,hard,80,w\n" +
			"c1,2026-01-01,speed,easy,1,bpm\n",
		"prescriptions.csv": "client_id,effective_from,session,per_week,minutes,rounds,work_s,recovery_s\n" +
			"c1,2026-01-01,base,3,-40,,,\n" +
			"c1,2026-01-01,base,3,40,4,,\n" +
			"c1,2026-01-01,interval,1,40,4,180,180\n",
	})
	want := `bands.csv, row 4, lower: hard and steady (row 3) overlap: both start at 120; give every band of a set a lower edge of its own
bands.csv, row 6, lower: hard starts at 80, below easy at 90 in row 5; list the bands of a set from the lowest to the highest
bands.csv, row 7, unit: bpm is a unit of heart_rate, not of speed; give the unit that fits the signal
clients.csv, row 3, birth_year: 1871 is not possible; expected 1900 to 2016
clients.csv, row 4, client_id: c1 already stands in row 2; give every client one row and an id of their own
measurements.csv, row 2, value: 700 kg is not possible; expected 25 to 350 kg
measurements.csv, row 3, client_id: unknown client "c9", perhaps "c1"; add the client to clients.csv, or make the folder inbox/c9
measurements.csv, row 4, date: "03/04/2026" may mean 2026-04-03 or 2026-03-04; write the day as YYYY-MM-DD
measurements.csv, row 5, quantity: unknown word "resting_hr", perhaps "resting_hr_bpm"; use one of body_mass_kg, resting_hr_bpm, max_hr_bpm, threshold_hr_bpm, threshold_power_w, critical_power_w, vo2max_ml_kg_min
measurements.csv, row 7, value: max_hr_bpm 85 of c1 is not above resting_hr_bpm 90 (row 6), both in force on 2026-01-01; correct the wrong one
measurements.csv, row 8, client_id: "*" stands for every client and is allowed in bands.csv only; an id is the name of the client's folder in inbox/, such as c07
measurements.csv, row 9, date: 2062-02-01 is more than a year ahead; check the year
practice.toml, row 1, time_zone: unknown time zone "Europe/Berln"; give an IANA name such as Europe/Berlin or UTC
practice.toml, row 3, findings.silent_dys: unknown setting, perhaps "findings.silent_days"; boutwise init writes a practice.toml with every setting explained
prescriptions.csv, row 2, minutes: -40 minutes is not possible; expected 1 to 600 minutes
prescriptions.csv, row 3, rounds: a base session has no rounds; leave the cell empty, or prescribe base_with_bursts or intervals
prescriptions.csv, row 4, session: unknown word "interval", perhaps "intervals"; use one of base, base_with_bursts, intervals`
	if diff := cmp.Diff(want, got.Error()); diff != "" {
		t.Error(diff)
	}
}

// TestOneFault gives one fault at a time, and a piece of the line expected.
func TestOneFault(t *testing.T) {
	client := clientsHeader + "c1,A,1960,female,no\n"
	bands := "client_id,effective_from,signal,band,lower,unit\n"
	prescriptions := "client_id,effective_from,session,per_week,minutes,rounds,work_s,recovery_s\n"
	measurements := "client_id,date,quantity,value\n"
	tests := []struct{ name, file, text, want string }{
		{"missing column", "measurements.csv", "client_id,date,value\nc1,2026-01-01,70\n", "measurements.csv, row 1, quantity: this column is missing"},
		{"column twice", "clients.csv", "client_id,Client_ID\nc1,c1\n", "row 1, Client_ID: this column stands twice"},
		{"misspelt column", "clients.csv", "client_id,birthyear\nc1,1960\n", `birthyear: unknown column, perhaps "birth_year"`},
		{"no header", "measurements.csv", "# nothing\n", "measurements.csv: has no header row"},
		{"a separator that is none", "clients.csv", "sep=\"\nclient_id\nc1\n", "clients.csv, row 1"},
		{"open quote", "clients.csv", client + "c2,\"B\nc3,C\n", "clients.csv, row 3: not readable as CSV"},
		{"id as path", "clients.csv", clientsHeader + "../c2,,,,\n", "a folder's name cannot have"},
		{"hidden id", "clients.csv", clientsHeader + ".c2,,,,\n", "starts with a dot"},
		{"ids alike but for case", "clients.csv", client + "C1,B,,,\n", "C1 already stands in row 2"},
		{"sex", "clients.csv", clientsHeader + "c1,A,1960,f,no\n", `unknown word "f"`},
		{"medication", "clients.csv", clientsHeader + "c1,A,1960,female,maybe\n", "use one of yes, no"},
		{"half a year of birth", "clients.csv", clientsHeader + "c1,A,1960.5,,\n", "not a whole number"},
		{"zero bytes", "clients.csv", "client_id\n\x00\n", "zero bytes"},
		{"day number", "measurements.csv", measurements + "c1,45717,body_mass_kg,70\n", "a spreadsheet's day number"},
		{"no day of the calendar", "measurements.csv", measurements + "c1,2026-02-30,body_mass_kg,70\n", "no day of the calendar"},
		{"ancient", "measurements.csv", measurements + "c1,1926-02-03,body_mass_kg,70\n", "1926-02-03 is before 1970-01-01"},
		{"unit in the value", "measurements.csv", measurements + "c1,2026-01-01,body_mass_kg,70 kg\n", `"70 kg" is not a number`},
		{"infinite", "measurements.csv", measurements + "c1,2026-01-01,body_mass_kg,inf\n", "is not a number"},
		{"empty value", "measurements.csv", measurements + "c1,2026-01-01,body_mass_kg\n", "value: empty"},
		{"contradiction", "measurements.csv", measurements + "c1,2026-01-01,body_mass_kg,70\nc1,2026-01-01,body_mass_kg,71\n", "is 71 here but 70 in row 2"},
		{"threshold above maximum", "measurements.csv", measurements + "c1,2026-01-01,threshold_hr_bpm,170\nc1,2026-01-01,max_hr_bpm,165\n", "max_hr_bpm 165 of c1 is not above threshold_hr_bpm 170"},
		{"decimal comma between commas", "measurements.csv", measurements + "c1,2026-01-01,body_mass_kg,70,5\n", "5 cells, but the header names 4 columns"},
		{"unknown signal", "bands.csv", bands + "*,2026-01-01,pulse,easy,0,bpm\n", `unknown word "pulse"`},
		{"unknown unit", "bands.csv", bands + "*,2026-01-01,power,easy,0,watt\n", `unknown word "watt"`},
		{"units mixed", "bands.csv", bands + "*,2026-01-01,heart_rate,easy,0,bpm\n*,2026-01-01,heart_rate,hard,80,pct_max_hr\n", "row 2 of the same set has bpm"},
		{"band twice", "bands.csv", bands + "*,2026-01-01,heart_rate,easy,0,bpm\n*,2026-01-01,heart_rate,easy,80,bpm\n", "easy already stands in row 2"},
		{"fractions", "bands.csv", bands + "*,2026-01-01,heart_rate,easy,0,pct_max_hr\n*,2026-01-01,heart_rate,hard,0.8,pct_max_hr\n", "write 60 for 60 %"},
		{"negative edge", "bands.csv", bands + "*,2026-01-01,heart_rate,easy,-5,bpm\n", "-5 bpm is not possible"},
		{"star in prescriptions", "prescriptions.csv", prescriptions + "*,2026-01-01,base,3,40,,,\n", "stands for every client"},
		{"burst too long", "prescriptions.csv", prescriptions + "c1,2026-01-01,base_with_bursts,1,40,5,180,60\n", "expected 5 to 119"},
		{"interval too long", "prescriptions.csv", prescriptions + "c1,2026-01-01,intervals,1,60,2,601,60\n", "expected 120 to 600"},
		{"interval too short", "prescriptions.csv", prescriptions + "c1,2026-01-01,intervals,1,40,4,60,60\n", "expected 120 to 600"},
		{"too much work for the minutes", "prescriptions.csv", prescriptions + "c1,2026-01-01,intervals,1,20,4,240,180\n", "4 rounds take 25 minutes, but the session has 20"},
		{"prescribed twice", "prescriptions.csv", prescriptions + "c1,2026-01-01,base,3,40,,,\nc1,2026-01-01,base,2,40,,,\n", "already stands in row 2"},
		{"too often", "prescriptions.csv", prescriptions + "c1,2026-01-01,base,30,40,,,\n", "30 sessions a week is not possible"},
		{"broken toml", "practice.toml", "units = metric\n", "practice.toml, row 1"},
		{"type", "practice.toml", "[findings]\nsilent_days = \"ten\"\n", "row 2, findings.silent_days: must be a number without quotation marks"},
		{"type of a switch", "practice.toml", "keep_position = \"yes\"\n", "row 1, keep_position: must be true or false"},
		{"range", "practice.toml", "\n[findings]\n\nsilent_days = 0\n", "row 4, findings.silent_days: 0 is out of range; give 2 to 365"},
		{"not whole", "practice.toml", "[findings]\nsilent_days = 10.5\n", "must be a whole number"},
		{"not a number at all", "practice.toml", "[bouts]\nmin_confidence = nan\n", "out of range"},
		{"word", "practice.toml", "units = \"metrical\"\n", `unknown word "metrical", perhaps "metric"`},
		{"unknown table", "practice.toml", "[pace]\nx = 1\n", "row 2, pace.x: unknown setting"},
		{"intervals from above their end", "practice.toml", "[kinds]\ninterval_from_s = 500\ninterval_to_s = 490\n", "practice.toml, row 3, kinds.interval_to_s: kinds.interval_from_s 500 is above kinds.interval_to_s 490: no bout would be an interval; lower the one or raise the other"},
		{"intervals shorter than bouts may get", "practice.toml", "[kinds]\ninterval_to_s = 400\n", "row 2, kinds.interval_to_s: progress.longest_bout_s 480 is above kinds.interval_to_s 400"},
		{"more rounds at first than at last", "practice.toml", "[progress]\nfirst_rounds = 9\n", "row 2, progress.first_rounds: progress.first_rounds 9 is above progress.most_rounds 8"},
		{"maximal bouts", "practice.toml", "[capacity]\nmin_s = 600\nmax_s = 599.5\n", "row 3, capacity.max_s: capacity.min_s 600 is above capacity.max_s 599.5: no bout would count"},
		{"years", "practice.toml", "[limits]\nlatest_year = 2020\nearliest_year = 2030\n", "row 2, limits.latest_year: limits.earliest_year 2030 is above limits.latest_year 2020: every date would be doubtful"},
		{"one of a pair is no number", "practice.toml", "[capacity]\nmin_s = \"x\"\n", "row 2, capacity.min_s: must be a number"},
		{"local zone", "practice.toml", "time_zone = \"Local\"\n", `unknown time zone "Local"`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			files := map[string]string{"clients.csv": client}
			files[tt.file] = tt.text
			got := problems(t, files)
			if len(got) != 1 {
				t.Errorf("%d problems, want 1:\n%v", len(got), got)
			}
			if !strings.Contains(got.Error(), tt.want) {
				t.Errorf("got  %v\nwant %s", got, tt.want)
			}
			for _, p := range got {
				if strings.Contains(p.Error(), "\n") {
					t.Errorf("more than one line: %q", p.Error())
				}
			}
		})
	}
}

// TestProblemsTogether: settings of the wrong type do not hide each other.
func TestProblemsTogether(t *testing.T) {
	got := problems(t, map[string]string{"practice.toml": "units = 1\nkeep_position = 2\n[bouts]\nmin_confidence = \"x\"\nfoo = 1\n"})
	if len(got) != 4 {
		t.Errorf("%d problems, want 4:\n%v", len(got), got)
	}
}

// TestUnreadableClients: a list of clients that cannot be read is one fault,
// not one for every row that names a client.
func TestUnreadableClients(t *testing.T) {
	for name, text := range map[string]string{
		"no column of ids": "name\nA\n",
		"zero bytes":       "client_id\n\x00\n",
		"an open quote":    "client_id,name\nc1,\"A\nc2,B\n",
	} {
		got := problems(t, map[string]string{
			"clients.csv":      text,
			"measurements.csv": "client_id,date,quantity,value\nc2,2026-01-01,body_mass_kg,70\nc3,2026-01-01,body_mass_kg,71\n",
		})
		for _, p := range got {
			if p.File != "clients.csv" {
				t.Errorf("%s: %v", name, p)
			}
		}
	}
}

// TestWrongClock: a computer that woke up in 1970 does not take every date
// for a slip.
func TestWrongClock(t *testing.T) {
	dir := folder(t, map[string]string{
		"clients.csv":      clientsHeader + "c1,A,1960,,\n",
		"measurements.csv": "client_id,date,quantity,value\nc1,2026-01-01,body_mass_kg,70\n",
	})
	if _, err := loadAsOf(dir, 0); err != nil {
		t.Error(err)
	}
}

// TestLengthsFollowTheKinds: what can be prescribed is what a session can be
// found to be, by the practice's own limits.
func TestLengthsFollowTheKinds(t *testing.T) {
	const header = "client_id,effective_from,session,per_week,minutes,rounds,work_s,recovery_s\n"
	kinds := "[kinds]\ninterval_from_s = 90\ninterval_to_s = 900\n"
	clients := clientsHeader + "c1,A,1960,,\n"
	files := func(row string) map[string]string {
		return map[string]string{"clients.csv": clients, "practice.toml": kinds, "prescriptions.csv": header + row + "\n"}
	}
	for _, row := range []string{"c1,2026-01-01,intervals,1,60,4,90,60", "c1,2026-01-01,intervals,1,60,2,900,1500", "c1,2026-01-01,base_with_bursts,1,60,4,89,60"} {
		load(t, files(row))
	}
	for row, want := range map[string]string{
		"c1,2026-01-01,intervals,1,60,4,89,60":        "expected 90 to 900",
		"c1,2026-01-01,intervals,1,60,2,901,60":       "expected 90 to 900",
		"c1,2026-01-01,base_with_bursts,1,60,4,90,60": "expected 5 to 89",
	} {
		if got := problems(t, files(row)); len(got) != 1 || !strings.Contains(got.Error(), want) {
			t.Errorf("%s: %v, want %s", row, got, want)
		}
	}
}

// TestFieldOfAnotherType: a setting whose field no value can be put into is
// told when the program starts.
func TestFieldOfAnotherType(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("a setting was left unset without a word")
		}
	}()
	var other int32
	_ = setting{key: "x", field: func(*Settings) any { return &other }, value: 1, high: 9}.set(new(Settings), 1)
}
