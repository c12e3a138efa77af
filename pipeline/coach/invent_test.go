package coach

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

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
	cutShort    // half of its minutes
	tooHard     // base work at vigorous heart rates
	unheld      // bouts that fade
	allOut      // rated 10 of 10
	allOutBlind // likewise, without a heart-rate sensor
	alarming    // heart rate hardly falls after the bouts
	brief       // bouts of a third of their length
	stopped     // broken off after the first bout
	spent       // the last bout far below the first
)

// fateOf draws a fate; most sessions go as asked.
func fateOf(t *rapid.T, label string) fate {
	return rapid.SampledFrom([]fate{asAsked, asAsked, asAsked, asAsked, asAsked, asAsked, asAsked, asAsked, asAsked, asAsked,
		skipped, cutShort, tooHard, unheld, allOut, allOutBlind, alarming, brief, stopped, spent}).Draw(t, label)
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
	case allOutBlind:
		v = blind(v).but(func(s *tables.Session) { s.RatedExertion = num(10) })
	case alarming:
		v = v.each(func(b *tables.Bout) { b.HRRecovery60, b.RecoveryOutput = num(8), num(0) })
	case brief:
		v = v.each(func(b *tables.Bout) { b.DurationS /= 3 })
	case stopped:
		if len(v.Bouts) > 0 {
			v.Bouts = v.Bouts[:1]
			v.Session.Bouts, v.Session.Kind, v.Session.LastToFirst = 1, string(metrics.Mixed), nil
		}
	case spent:
		if len(v.Bouts) > 0 {
			v.Session.LastToFirst = num(75)
		}
	}
	return &v
}

// spoils tells a fate that makes a session with bouts no ground for more.
func (f fate) spoils() bool {
	switch f {
	case unheld, allOut, allOutBlind, brief, stopped, spent:
		return true
	}
	return false
}

// programme is what is asked of the invented client.
type programme struct {
	base, minutes     int  // sessions a week and their length
	bursts, intervals int  // sessions a week
	rounds, seconds   int  // of the intervals
	terse             bool // nothing is written down but how often
}

// rows writes the programme as prescriptions from a day on.
func (p programme) rows(from calendar.Date) string {
	if p.terse {
		return fmt.Sprintf("c1,%[1]s,base,%[2]d\nc1,%[1]s,base_with_bursts,%[3]d\nc1,%[1]s,intervals,%[4]d\n", from, p.base, p.bursts, p.intervals)
	}
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

// week is the programme's sessions of a week, each with the fate that is drawn
// for a session of its kind.
func (p programme) week(n int, next func(metrics.SessionKind) fate) []SessionView {
	var all []SessionView
	day := 0
	add := func(v SessionView, minutes int) {
		seconds := 60 * float64(minutes)
		v = v.but(func(s *tables.Session) { s.DurationS, s.RecordedS = seconds, seconds })
		if done := next(metrics.SessionKind(v.Session.Kind)).meet(v); done != nil {
			all = append(all, *done)
		}
		day++
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
