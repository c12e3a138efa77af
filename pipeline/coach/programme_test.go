package coach

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"boutwise/metrics"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/tables"
)

// fate is what becomes of a session that was asked for.
type fate int

const (
	asAsked fate = iota
	skipped
	cutShort // half of its minutes
	tooHard  // base work at vigorous heart rates
	unheld   // bouts that fade
	allOut   // rated 10 of 10
	alarming // heart rate hardly falls after the bouts
)

// fateOf draws a fate; most sessions go as asked.
func fateOf(t *rapid.T, label string) fate {
	return rapid.SampledFrom([]fate{asAsked, asAsked, asAsked, asAsked, asAsked, skipped, cutShort, tooHard, unheld, allOut, alarming}).Draw(t, label)
}

// meet gives the session its fate; nil when it does not take place.
func (f fate) meet(v SessionView) *SessionView {
	switch f {
	case skipped:
		return nil
	case cutShort:
		v.Session.DurationS, v.Session.RecordedS = v.Session.DurationS/2, v.Session.RecordedS/2
	case tooHard:
		v = v.at(metrics.Count{Value: 150, Seconds: 2400})
	case unheld:
		v = pace(v, len(v.Bouts), metrics.Fade)
	case allOut:
		v.Session.RatedExertion = num(10)
	case alarming:
		v = v.each(func(b *tables.Bout) { b.HRRecovery60, b.RecoveryOutput = num(8), num(0) })
	}
	return &v
}

// programme is what is asked of the invented client.
type programme struct {
	base, minutes     int // sessions a week and their length
	bursts, intervals int // sessions a week
	rounds, seconds   int // of the intervals
}

// rows writes the programme as prescriptions from a day on.
func (p programme) rows(from calendar.Date) string {
	return fmt.Sprintf("c1,%[1]s,base,%[2]d,%[3]d,,,\nc1,%[1]s,base_with_bursts,%[4]d,40,5,60,60\nc1,%[1]s,intervals,%[5]d,%[8]d,%[6]d,%[7]d,180\n",
		from, p.base, p.minutes, p.bursts, p.intervals, p.rounds, p.seconds, p.intervalMinutes())
}

// intervalMinutes is the length of an interval session, a warm-up included.
func (p programme) intervalMinutes() int { return 10 + p.rounds*(p.seconds+180)/60 }

// follow takes the step that is suggested.
func (p programme) follow(suggestion string) programme {
	switch suggestion {
	case LongerBase:
		p.minutes += 5
	case AnotherBaseDay:
		p.base++
	case BeginBursts:
		p.base, p.bursts = p.base-1, 1
	case BeginIntervals:
		p.bursts, p.intervals = 0, 1
	case OneMoreRound:
		p.rounds++
	case LongerBouts:
		p.seconds += 30
	case ShorterBouts:
		p.seconds = max(120, p.seconds-30)
	case EaseBack:
		p.rounds = max(2, p.rounds-1)
	}
	return p
}

// week is the programme's sessions of a week, each with its fate.
func (p programme) week(n int, next func() fate) []SessionView {
	var all []SessionView
	day := 0
	add := func(v SessionView, minutes int) {
		seconds := 60 * float64(minutes)
		v = v.but(func(s *tables.Session) { s.DurationS, s.RecordedS = seconds, seconds })
		if done := next().meet(v); done != nil {
			all = append(all, *done)
		}
		day += 2
	}
	for range p.base {
		add(session(n, day), p.minutes)
	}
	for range p.bursts {
		add(bursts(n, day), 40)
	}
	for range p.intervals {
		add(session(n, day).withBouts(metrics.Intervals, p.rounds, float64(p.seconds)), p.intervalMinutes())
	}
	return all
}

// invented is a practice folder of one client, whose prescriptions grow from
// week to week.
type invented struct {
	dir           string
	age           int     // in 2025
	vo2max        float64 // measured, in mL/kg/min; 0 for not at all
	prescriptions strings.Builder
	loaded        *practice.Practice // nil when the prescriptions have changed
}

// prescribe adds what is asked from a day on.
func (c *invented) prescribe(p programme, from calendar.Date) {
	c.prescriptions.WriteString(p.rows(from))
	c.loaded = nil
}

// practice loads the folder as it now is.
func (c *invented) practice(t interface{ Fatal(...any) }) *practice.Practice {
	if c.loaded != nil {
		return c.loaded
	}
	measurements := "client_id,date,quantity,value\n" + facts
	if c.vo2max > 0 {
		measurements += fmt.Sprintf("c1,2025-01-01,vo2max_ml_kg_min,%.1f\n", c.vo2max)
	}
	for name, text := range map[string]string{
		"clients.csv":       fmt.Sprintf("client_id,name,birth_year,sex,hr_limiting_medication\nc1,A,%d,female,no\n", 2025-c.age),
		"measurements.csv":  measurements,
		"prescriptions.csv": "client_id,effective_from,session,per_week,minutes,rounds,work_s,recovery_s\n" + c.prescriptions.String(),
	} {
		if err := os.WriteFile(filepath.Join(c.dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	p, err := practice.Load(c.dir)
	if err != nil {
		t.Fatal(err)
	}
	c.loaded = p
	return p
}

// judged reviews the sessions as of a day.
func judged(p *practice.Practice, sessions []SessionView, asOf calendar.Date) Result {
	for i := range sessions {
		sessions[i].Facts = p.FactsOn("c1", sessions[i].Session.LocalDate)
	}
	return Review(p, "c1", sessions, asOf)
}

// isStep tells a suggestion that asks for more.
func isStep(name string) bool { return suggestion{name: name}.harder() }

// TestProgrammeIsCautious lets a coach review on Monday mornings and follow
// every suggestion to the letter, with clients of all ages and weeks of all
// kinds, and holds each step against what practice would say.
func TestProgrammeIsCautious(t *testing.T) {
	dir := t.TempDir()
	const weeks = 26
	rapid.Check(t, func(t *rapid.T) {
		c := invented{dir: dir, age: rapid.IntRange(25, 85).Draw(t, "age")}
		now := programme{base: rapid.IntRange(2, 4).Draw(t, "base"), minutes: rapid.IntRange(4, 9).Draw(t, "minutes") * 5, rounds: 4, seconds: 180}
		c.prescribe(now, on(1, 0))
		var sessions []SessionView
		changed, wasStep := on(1, 0), false
		for week := 1; week <= weeks; week++ {
			asked := now.base + now.bursts + now.intervals
			before := len(sessions)
			var met []fate
			sessions = append(sessions, now.week(week, func() fate {
				f := fateOf(t, "fate")
				met = append(met, f)
				return f
			})...)
			monday := on(week+1, 0)
			r := judged(c.practice(t), sessions, monday)
			got := r.Progress[0]
			if isStep(got.Suggestion) {
				checkStep(t, week, got, r, stepFacts{
					done: len(sessions) - before, cut: countOf(met, cutShort), asked: asked,
					intervals: intervalSessions(sessions), changed: changed, wasStep: wasStep, lastFates: met,
				})
			}
			wasStep = isStep(got.Suggestion)
			if next := now.follow(got.Suggestion); next != now {
				c.prescribe(next, monday)
				now, changed = next, monday
			}
		}
	})
}

// stepFacts is what a step is held against, counted without the program.
type stepFacts struct {
	done, cut, asked int // sessions of the week that ended
	intervals        int // sessions ever done
	changed          calendar.Date
	wasStep          bool // last week's suggestion was one, too
	lastFates        []fate
}

func countOf(all []fate, f fate) (n int) {
	for _, g := range all {
		if g == f {
			n++
		}
	}
	return n
}

func intervalSessions(all []SessionView) (n int) {
	for _, v := range all {
		if v.Session.Kind == string(metrics.Intervals) {
			n++
		}
	}
	return n
}

// checkStep holds a step against the cautions of the trade.
func checkStep(t *rapid.T, week int, got tables.Progress, r Result, f stepFacts) {
	fail := func(format string, args ...any) {
		t.Fatalf("week %d, %s (%s): %s", week, got.Suggestion, got.Reason, fmt.Sprintf(format, args...))
	}
	if f.wasStep {
		fail("a step last week, too")
	}
	if days := got.AsOf - f.changed; days < 14 && f.changed > on(1, 0) {
		fail("the programme changed %d days ago", days)
	}
	if kept := f.done - f.cut; 3*kept < 2*f.asked {
		fail("%d of %d sessions done in the week before", kept, f.asked)
	}
	if f.intervals < 3 && (got.Suggestion == OneMoreRound || got.Suggestion == LongerBouts) {
		fail("after %d interval sessions", f.intervals)
	}
	for _, finding := range r.Findings {
		recent := got.AsOf-finding.Date < 14
		if recent && (finding.Severity == Urgent || finding.Finding == BaseAboveBand) {
			fail("open: %s of %s", finding.Finding, finding.Date)
		}
	}
	if countOf(f.lastFates, allOut) > 0 && got.Suggestion == OneMoreRound {
		fail("a session of last week was rated 10 of 10")
	}
	if !strings.Contains(got.Caution, cautionHarder) {
		fail("no caution")
	}
}

// history draws twelve weeks of sessions under one programme.
func history(t *rapid.T) (programme, []SessionView) {
	p := programme{base: rapid.IntRange(1, 4).Draw(t, "base"), minutes: rapid.IntRange(4, 9).Draw(t, "minutes") * 5, rounds: rapid.IntRange(3, 8).Draw(t, "rounds"), seconds: 180}
	switch rapid.IntRange(0, 2).Draw(t, "stage") {
	case 1:
		p.bursts = 1
	case 2:
		p.intervals = 1
	}
	var sessions []SessionView
	for week := 1; week <= 12; week++ {
		sessions = append(sessions, p.week(week, func() fate { return fateOf(t, "fate") })...)
	}
	return p, sessions
}

// TestOlderMovesNoFaster: whatever the history, a step that is suggested to an
// older or less fit client is suggested to a younger and fitter one with the
// same history, too.
func TestOlderMovesNoFaster(t *testing.T) {
	dir := t.TempDir()
	steps := 0
	rapid.Check(t, func(t *rapid.T) {
		p, sessions := history(t)
		younger := rapid.IntRange(20, 85).Draw(t, "younger")
		older := rapid.IntRange(younger, 90).Draw(t, "older")
		less := rapid.Float64Range(12, 60).Draw(t, "less fit")
		more := rapid.Float64Range(less, 60).Draw(t, "fitter")
		of := func(age int, vo2max float64) *practice.Practice {
			c := invented{dir: dir, age: age, vo2max: vo2max}
			c.prescribe(p, on(1, 0))
			return c.practice(t)
		}
		young, old := of(younger, more), of(older, less)
		for week := 1; week <= 12; week++ {
			slow := judged(old, sessions, on(week+1, 0)).Progress[0]
			if !isStep(slow.Suggestion) {
				continue
			}
			steps++
			if fast := judged(young, sessions, on(week+1, 0)).Progress[0]; !isStep(fast.Suggestion) {
				t.Fatalf("week %d: at %d %s (%s), at %d %s (%s)", week, older, slow.Suggestion, slow.Reason, younger, fast.Suggestion, fast.Reason)
			}
		}
	})
	if steps == 0 {
		t.Error("no history led to a step: nothing was tested")
	}
}

// TestFindingsStand: what was found one night is found the next night just so,
// unless a session came, and what is new is dated no later than the night.
func TestFindingsStand(t *testing.T) {
	dir := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		c := invented{dir: dir, age: 50}
		programme, sessions := history(t)
		c.prescribe(programme, on(1, 0))
		p := c.practice(t)
		asOf := on(rapid.IntRange(1, 15).Draw(t, "week"), rapid.IntRange(0, 6).Draw(t, "day"))
		var seen []SessionView
		for _, v := range sessions {
			if v.Session.LocalDate <= asOf {
				seen = append(seen, v)
			}
		}
		before := judged(p, seen, asOf).Findings
		after := judged(p, seen, asOf+1).Findings
		for _, f := range before {
			if !containsEqual(after, f) {
				t.Fatalf("gone or changed after %s: %+v", asOf, f)
			}
		}
		for _, f := range after {
			if f.Date > asOf+1 {
				t.Fatalf("dated ahead of %s: %+v", asOf+1, f)
			}
		}
	})
}

func containsEqual(all []tables.Finding, f tables.Finding) bool {
	return slices.ContainsFunc(all, func(g tables.Finding) bool { return cmp.Equal(f, g) })
}

// TestWellBehavedClient follows a client without any fault for a year: the
// steps come in the order of the programme, an older client takes each later
// and the same ones, and nothing above a note fires.
func TestWellBehavedClient(t *testing.T) {
	tests := []struct {
		age  int
		want []string // steps by week
	}{
		{45, []string{
			"2 longer_base", "4 longer_base", "6 another_base_day", "9 begin_bursts", "12 begin_intervals",
			"15 one_more_round", "18 one_more_round", "21 one_more_round", "24 one_more_round", "27 longer_bouts", "30 longer_bouts",
		}},
		{75, []string{
			"3 longer_base", "6 longer_base", "9 another_base_day", "14 begin_bursts", "19 begin_intervals", "24 one_more_round", "29 one_more_round",
		}},
	}
	for _, tt := range tests {
		c := invented{dir: t.TempDir(), age: tt.age}
		now := programme{base: 2, minutes: 30, rounds: 4, seconds: 180}
		c.prescribe(now, on(1, 0))
		var sessions []SessionView
		var got []string
		for week := 1; week <= 30; week++ {
			sessions = append(sessions, now.week(week, func() fate { return asAsked })...)
			r := judged(c.practice(t), sessions, on(week+1, 0))
			for _, f := range r.Findings {
				if f.Severity != Note {
					t.Errorf("%d, week %d: %s: %s", tt.age, week, f.Finding, f.Message)
				}
			}
			if name := r.Progress[0].Suggestion; name != Hold {
				got = append(got, fmt.Sprintf("%d %s", week, name))
				now = now.follow(name)
				c.prescribe(now, on(week+1, 0))
			}
		}
		if diff := cmp.Diff(tt.want, got); diff != "" {
			t.Errorf("at %d:\n%s", tt.age, diff)
		}
	}
}
