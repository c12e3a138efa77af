package coach

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"boutwise/metrics"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/tables"
)

// tries lists the sessions since a day in which the client tried what is now
// asked for in bouts, the latest first: those that answer a prescription of it,
// of whatever kind they turned out to be, those of the kind beyond what was
// prescribed, and those that were broken off.
func (r *review) tries(asked practice.Prescription, since calendar.Date) []*view {
	var all []*view
	for _, v := range slices.Backward(r.sessions) {
		if v.Session.LocalDate >= since && (v.answers == asked.Session || v.kind() == asked.Session || v.brokenOff(asked)) {
			all = append(all, v)
		}
	}
	return all
}

// brokenOff tells a session that answers no prescription but begins as what is
// asked for: with a bout of its length, and fewer rounds.
func (v *view) brokenOff(asked practice.Prescription) bool {
	n := len(v.confirmed)
	return v.answers == "" && v.kind() == metrics.Mixed && 0 < n && n < asked.Rounds &&
		math.Abs(v.confirmed[0].DurationS-asked.WorkS) <= lengthTolerance(asked.WorkS)
}

// stepSince is the day from which the rounds and the length of now are
// prescribed: a change of anything else is no new step.
func (r *review) stepSince(now practice.Prescription) calendar.Date {
	since := now.EffectiveFrom
	rows := r.practice.PrescriptionsOf(r.client.ID)
	for i := len(rows) - 1; i >= 0; i-- {
		p := rows[i]
		if p.Session != now.Session || p.EffectiveFrom > now.EffectiveFrom {
			continue
		}
		if p.PerWeek == 0 || p.Rounds != now.Rounds || !same(p.WorkS, now.WorkS) {
			break
		}
		since = p.EffectiveFrom
	}
	return since
}

// goodWeeks are weeks in a row with good sessions, up to now.
type goodWeeks struct {
	weeks   int
	longest float64 // median bout of the session with the longest, in s; NaN without any
	why     string  // there are no more
}

// goodWeeks counts back the weeks in a row with good sessions, up to a session
// that was not good or a week without any. The week under way may still be
// without. Two sessions in one week make one week's experience; a week in which
// one was not good does not count, nor do sessions beyond what was prescribed.
func (r *review) goodWeeks(tried []*view, asked practice.Prescription) goodWeeks {
	good := goodWeeks{longest: math.NaN()}
	this := r.asOf.Monday()
	last := this + 7
	for _, v := range tried {
		monday := v.Session.LocalDate.Monday()
		due := last - 7
		if due == this {
			due -= 7
		}
		if monday < due {
			good.why = fmt.Sprintf(" (none in the week of %s)", due)
			return good
		}
		if reason := r.notGood(v, asked); reason != "" {
			if monday == last {
				good.weeks--
			}
			good.why = " (" + reason + ")"
			return good
		}
		if v.answers != asked.Session {
			continue
		}
		if length := v.medianLength(); !(length <= good.longest) {
			good.longest = length
		}
		if monday < last {
			good.weeks, last = good.weeks+1, monday
		}
	}
	return good
}

// notGood says why a session was not good; "" of one that answers the
// prescription in its bouts and between them, all rounds of it, held evenly to
// the last and recovered from, without taking all that the client had. A
// session in which that could not be judged is not good: a step is never taken
// on a guess.
func (r *review) notGood(v *view, asked practice.Prescription) string {
	p := v.pausesAgainst(asked.RecoveryS)
	rested, due := r.restedPct(p), r.set.Progress.RecoveredPct
	fault, faulty := r.pacingFault(v)
	why := ""
	switch short := r.shortOfRounds(v, &asked, p); {
	case asked.Rounds == 0 && v.kind() != asked.Session:
		why = fmt.Sprintf("%s work", v.kind())
	case tables.Value(v.Session.RatedExertion) >= r.set.Progress.EmptyTankExertion:
		why = fmt.Sprintf("rated %.0f of 10", *v.Session.RatedExertion)
	case math.IsNaN(v.pacedPct(metrics.Even)) && len(v.confirmed) >= asked.Rounds:
		why = "evenness could not be judged"
	case rested < due:
		share, least := apart(rested, due, 0)
		why = fmt.Sprintf("%s %% of recoveries long and easy enough, %s %% are due", share, least)
	case len(short) > 0:
		why = strings.Join(short, "; ")
	case faulty:
		why = fault.message
	default:
		return ""
	}
	return fmt.Sprintf("%s, on %s", why, v.Session.LocalDate)
}

// restedPct is the share of recoveries that were long and easy enough, in
// percent; NaN without any. An output that was not measured does not speak
// against one.
func (r *review) restedPct(p pauses) float64 {
	rested := 0
	for i := range p.pcts {
		if p.pcts[i] >= r.set.Findings.RecoveryShortPct && !(p.outputs[i] > r.set.Findings.RecoveryHardPct) {
			rested++
		}
	}
	return 100 * float64(rested) / float64(len(p.pcts))
}
