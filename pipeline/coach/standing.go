package coach

import (
	"fmt"
	"math"

	"boutwise/metrics"
	"boutwise/metrics/stats"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/practice"
)

// standing is where a client stands in the programme: the numbers that the
// rules for the next step rest on.
type standing struct {
	stage practice.SessionKind
	base  practice.Prescription // in force; zero when none
	hard  practice.Prescription // bursts or intervals in force; zero when none

	keptWeeks   int // kept, one after the other, up to now
	missedWeeks int // over and not kept, likewise
	weeksAtDays int // of the kept ones, with as many sessions a week as now
	weeksAtStep int // of those, of the same length too

	drift         float64 // median heart-rate drift of recent base sessions; NaN when not measured
	driftSessions int
	minutes       float64 // median length of recent base sessions; NaN without any

	sinceChange int           // days from the last change of the prescription to tomorrow, when a step could be taken; −1 when there was none
	nextChange  calendar.Date // day of the next change that is already written down; 0 when there is none
	slower      string        // why the client moves slower; "" when not
	interval    int           // interval sessions done since the last long break
}

// standing looks up where the client stands.
func (r *review) standing() standing {
	s := standing{stage: practice.Base, sinceChange: -1, slower: r.slower()}
	for _, p := range r.practice.PrescriptionsOn(r.client.ID, r.asOf) {
		if p.Session == practice.Base {
			s.base = p
		} else {
			s.stage, s.hard = p.Session, p // intervals come last, and weigh most
		}
	}
	s.countWeeks(r)
	s.lookAtRecentBase(r)
	for _, p := range r.practice.PrescriptionsOf(r.client.ID) {
		since := int(r.asOf + 1 - p.EffectiveFrom)
		switch {
		case p.EffectiveFrom > r.asOf:
			if s.nextChange == 0 || p.EffectiveFrom < s.nextChange {
				s.nextChange = p.EffectiveFrom
			}
		case s.sinceChange < 0 || since < s.sinceChange:
			s.sinceChange = since
		}
	}
	s.interval = r.intervalsDone()
	return s
}

// intervalsDone counts the interval sessions since the last long break: after
// one, the first ones are first ones again. One that was broken off is not
// done, but comes after a break as any other.
func (r *review) intervalsDone() (n int) {
	var last calendar.Date
	for _, v := range r.sessions {
		done := v.kind() == metrics.Intervals
		if !done && v.answers != practice.Intervals {
			continue
		}
		day := v.Session.LocalDate
		if n > 0 && day-last > calendar.Date(7*r.set.Progress.RestartWeeks) {
			n = 0
		}
		if done {
			n, last = n+1, day
		}
	}
	return n
}

// countWeeks counts back from the latest week. The one under way counts as
// kept as soon as it is, and as not kept only when it is over.
func (s *standing) countWeeks(r *review) {
	days := s.base.PerWeek
	keeping, sameDays, sameStep, missing := true, true, true, true
	for i := len(r.weeks) - 1; i >= 0; i-- {
		w := &r.weeks[i]
		kept := r.kept(w)
		if !kept && !w.over {
			continue
		}
		if keeping = keeping && kept; keeping {
			s.keptWeeks++
		}
		if missing = missing && !kept && w.prescribed() > 0; missing {
			s.missedWeeks++
		}
		base := askedFor(practice.Base, w.asked)
		if sameDays = sameDays && keeping && base != nil && base.PerWeek == days; sameDays {
			s.weeksAtDays++
		}
		if sameStep = sameStep && sameDays && same(base.Minutes, s.base.Minutes); sameStep {
			s.weeksAtStep++
		}
	}
}

// kept tells a week in which enough of what was asked for was done, in number
// and in length.
func (r *review) kept(w *week) bool {
	asked := w.prescribed()
	return asked > 0 && 100*float64(w.kept) >= r.set.Progress.WeekKeptPct*float64(asked)
}

// lookAtRecentBase takes the medians over the base sessions of the last weeks,
// as many as a base is to be kept.
func (s *standing) lookAtRecentBase(r *review) {
	since := r.asOf - calendar.Date(7*r.set.Progress.BaseWeeks) + 1
	var drifts, minutes []float64
	for _, v := range r.sessions {
		if v.Session.LocalDate < since || !v.isBase() {
			continue
		}
		minutes = append(minutes, v.minutes())
		if drift := r.baseDrift(v); !math.IsNaN(drift) {
			drifts = append(drifts, drift)
		}
	}
	s.drift, s.driftSessions, s.minutes = stats.Median(drifts), len(drifts), stats.Median(minutes)
}

// slower says why a client moves slower through the steps: for age, or for a
// low measured capacity.
func (r *review) slower() string {
	set, f := r.set.Progress, r.practice.FactsOn(r.client.ID, r.asOf)
	switch {
	case f.Age >= set.SlowAge:
		return fmt.Sprintf("aged %.0f, from %.0f on each step takes %g times as long", f.Age, set.SlowAge, set.SlowFactor)
	case f.VO2Max < set.SlowVO2Max:
		measured, limit := apart(f.VO2Max, set.SlowVO2Max, 0)
		return fmt.Sprintf("VO2max %s mL/kg/min, below %s each step takes %g times as long", measured, limit, set.SlowFactor)
	}
	return ""
}

// need is how many weeks, days or sessions this client is given where others
// get n.
func (r *review) need(s standing, n int) int {
	if s.slower == "" {
		return n
	}
	return int(math.Ceil(r.set.Progress.SlowFactor * float64(n)))
}
