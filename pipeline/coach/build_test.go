package coach

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"
	"time"

	"boutwise/metrics"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/tables"
)

// The tests tell weeks by number: week 1 begins on Monday 2025-03-03.
var firstMonday = mustDay("2025-03-03")

func mustDay(s string) calendar.Date {
	d, err := calendar.ParseDate(s)
	if err != nil {
		panic(err)
	}
	return d
}

// on is the day of a week and weekday, Monday being 0.
func on(week, weekday int) calendar.Date { return firstMonday + calendar.Date(7*(week-1)+weekday) }

// facts are those of most clients here: aged 45, rest 60, measured maximum 180
// bpm, so that vigorous begins at 132 bpm (60 % of reserve).
const facts = "c1,2025-01-01,resting_hr_bpm,60\nc1,2025-01-01,max_hr_bpm,180\nc1,2025-01-01,body_mass_kg,70\n"

// config is a practice with the one client c1.
type config struct {
	client        string // the row of clients.csv; a woman of 45 when empty
	measurements  string // rows; facts when empty
	prescriptions string
	settings      string
}

// practice loads the configuration.
func (c config) practice(t testing.TB) *practice.Practice {
	t.Helper()
	if c.client == "" {
		c.client = "c1,A,1980,female,no"
	}
	if c.measurements == "" {
		c.measurements = facts
	}
	dir := t.TempDir()
	for name, text := range map[string]string{
		"clients.csv":       "client_id,name,birth_year,sex,hr_limiting_medication\n" + c.client + "\n",
		"measurements.csv":  "client_id,date,quantity,value\n" + c.measurements,
		"prescriptions.csv": "client_id,effective_from,session,per_week,minutes,rounds,work_s,recovery_s\n" + c.prescriptions,
		"practice.toml":     c.settings,
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	p, err := practice.Load(dir)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// prescribe is a row of prescriptions.csv from the Monday of a week on.
func prescribe(week int, rest string) string {
	return fmt.Sprintf("c1,%s,%s\n", on(week, 0), rest)
}

// session is a base session of 40 minutes on an ergometer: 100 W at 110 bpm.
func session(week, weekday int) SessionView {
	start := on(week, weekday).Time().Add(18 * time.Hour)
	return SessionView{
		Session: tables.Session{
			ClientID: "c1", SessionID: start.Format("20060102T150405Z"), StartedUTC: start, LocalDate: on(week, weekday),
			Sport: "cycling", Kind: string(metrics.Base), DurationS: 2400, RecordedS: 2400, OutputSignal: "power",
			MeanHR: num(110), MeanPower: num(100), HRDrift: num(2), HRCoverage: 100, HRSamples: 2400, PowerCoverage: 100,
		},
		HeartRate: metrics.Counts{{Value: 110, Seconds: 2400}},
	}
}

// withBouts makes the session one of n bouts of the given length, each held
// evenly at 200 W with a peak of 160 bpm, and as long recoveries at 80 W.
func (v SessionView) withBouts(kind metrics.SessionKind, n int, seconds float64) SessionView {
	s := &v.Session
	s.Kind, s.Bouts, s.WorkS = string(kind), int32(n), float64(n)*seconds
	s.LastToFirst, s.HRDrift = num(100), nil
	for i := range n {
		b := tables.Bout{
			ClientID: "c1", SessionID: s.SessionID, Bout: int32(i + 1), Kind: string(metrics.BoutKindOf(seconds, metrics.DefaultKindLimits())),
			Confidence: "confirmed", Signal: "power", DurationS: seconds, MeanPower: num(200),
			Quarter1: num(100), Quarter2: num(100), Quarter3: num(100), Quarter4: num(100),
			Pacing: string(metrics.Even), PeakHR: num(160), HRAtThreeQuarters: num(150), NearMaxHR: num(0),
			Recovery: num(seconds), RecoveryOutput: num(40), RecoveryKind: string(metrics.Passive), HRRecovery60: num(30),
		}
		if i < n-1 {
			b.WorkToRecovery = num(1)
		}
		v.Bouts = append(v.Bouts, b)
	}
	return v
}

// each changes every bout.
func (v SessionView) each(change func(*tables.Bout)) SessionView {
	v.Bouts = append([]tables.Bout(nil), v.Bouts...)
	for i := range v.Bouts {
		change(&v.Bouts[i])
	}
	return v
}

// but changes the session's row.
func (v SessionView) but(change func(*tables.Session)) SessionView {
	change(&v.Session)
	return v
}

// at gives the session its heart rates: seconds at each.
func (v SessionView) at(counts ...metrics.Count) SessionView {
	v.HeartRate = counts
	return v
}

func num(x float64) *float64 { return tables.Num(x) }

// reviewed fills in the facts of each session's day and reviews them.
func reviewed(t *testing.T, c config, asOf calendar.Date, sessions ...SessionView) Result {
	t.Helper()
	p := c.practice(t)
	for i := range sessions {
		sessions[i].Facts = p.FactsOn("c1", sessions[i].Session.LocalDate)
	}
	return Review(p, "c1", sessions, asOf)
}

// named counts the findings of a name.
func (r Result) named(name string) (found []tables.Finding) {
	for _, f := range r.Findings {
		if f.Finding == name {
			found = append(found, f)
		}
	}
	return found
}

// weekly repeats sessions over weeks: one on each weekday given.
func weekly(from, to int, make func(week, weekday int) SessionView, weekdays ...int) []SessionView {
	var all []SessionView
	for week := from; week <= to; week++ {
		for _, d := range weekdays {
			all = append(all, make(week, d))
		}
	}
	return all
}

var nan = math.NaN()

func hoursOf(h float64) time.Duration { return time.Duration(h * float64(time.Hour)) }
