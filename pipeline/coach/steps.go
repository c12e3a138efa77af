package coach

import (
	"fmt"
	"math"

	"boutwise/metrics"
	"boutwise/pipeline/practice"
)

// afterBase is the step from base work: kept long enough and easy, it gets
// longer, then more frequent, then bursts are added.
func (r *review) afterBase(s standing) *suggestion {
	set := r.set.Progress
	if s.drift > set.BaseMaxDriftPct {
		return because(Hold, "Heart rate drifts by %.1f %% in base sessions (median of %d), more than %.1f %%: the base is not firm yet.",
			s.drift, s.driftSessions, set.BaseMaxDriftPct)
	}
	evidence := fmt.Sprintf("%s kept in a row, %d of them with %s; %s", count(s.keptWeeks, "week"), s.weeksAtDays, count(s.base.PerWeek, "base session"), s.driftWords())
	weeks, dayWeeks := r.need(s, set.BaseWeeks), r.need(s, set.BaseDayWeeks)
	short := s.minutes < set.BurstBaseMinutes
	if !short && s.keptWeeks >= weeks && s.weeksAtDays >= dayWeeks && s.base.PerWeek >= set.BaseDays {
		return because(BeginBursts, "The base is kept: %s. Due were %s, %d of them with at least %s.", evidence, count(weeks, "week"), dayWeeks, count(set.BaseDays, "session"))
	}
	if step := r.need(s, set.BaseStepWeeks); s.weeksAtStep >= step {
		switch {
		case s.base.Minutes < set.BaseMinutes:
			return because(LongerBase, "%s kept at %.0f minutes, %d due; up to %.0f minutes a session gets longer first.",
				count(s.weeksAtStep, "week"), s.base.Minutes, step, set.BaseMinutes)
		case s.base.PerWeek < set.BaseDays:
			return because(AnotherBaseDay, "%s kept with %s of %.0f minutes, %d due; up to %s a day is added next.",
				count(s.weeksAtStep, "week"), count(s.base.PerWeek, "session"), s.base.Minutes, step, count(set.BaseDays, "session"))
		}
	}
	if short {
		return because(Hold, "Base sessions last %.0f minutes (median of the last %s), %.0f are due before bursts.",
			s.minutes, count(set.BaseWeeks, "week"), set.BurstBaseMinutes)
	}
	return because(Hold, "The base is being built: %s. Due before bursts: %s, %d of them with at least %s.", evidence, count(weeks, "week"), dayWeeks, count(set.BaseDays, "session"))
}

// driftWords says how large the drift is, or that it is not known.
func (s standing) driftWords() string {
	if math.IsNaN(s.drift) {
		return "heart-rate drift not judged"
	}
	return fmt.Sprintf("median heart-rate drift %.1f %% in %s", s.drift, count(s.driftSessions, "session"))
}

// recent lists the sessions of a kind since a day, the latest first.
func (r *review) recent(kind metrics.SessionKind, since practice.Date) []*view {
	var all []*view
	for i := len(r.sessions) - 1; i >= 0; i-- {
		if v := r.sessions[i]; v.kind() == kind && v.Session.LocalDate >= since {
			all = append(all, v)
		}
	}
	return all
}

// afterBursts is the step from bursts: enough weeks in a row with bursts held
// evenly and recovered from, and intervals begin.
func (r *review) afterBursts(s standing) *suggestion {
	due := r.need(s, r.set.Progress.BurstWeeks)
	weeks, why := r.goodWeeks(r.recent(metrics.BaseWithBursts, 0), s.hard)
	if weeks < due {
		return because(Hold, "Due before intervals: %s in a row with bursts held evenly and recovered from; %d so far%s.", count(due, "week"), weeks, why)
	}
	return because(BeginIntervals, "%s with bursts held evenly and recovered from, %d due: begin intervals with %d rounds, once a week.",
		count(weeks, "week"), due, r.set.Progress.FirstRounds)
}

// afterIntervals is the step within intervals: enough weeks done as
// prescribed, and a round is added, or once there are enough rounds bouts get
// longer.
func (r *review) afterIntervals(s standing) *suggestion {
	sessions := r.recent(metrics.Intervals, r.stepSince(s.hard))
	due := r.need(s, r.set.Progress.IntervalWeeks)
	weeks, why := r.goodWeeks(sessions, s.hard)
	if weeks < due {
		return because(Hold, "Due before the next step: %s in a row with intervals done as prescribed; %d so far%s.", count(due, "week"), weeks, why)
	}
	if first := r.set.Progress.SubmaximalSessions; s.interval < first {
		return because(Hold, "%s done; the first %d are to stay submaximal, and no step comes before them.", count(s.interval, "interval session"), first)
	}
	return r.harderIntervals(s, weeks)
}

// stepSince is the day from which intervals are prescribed with the rounds and
// the length of now: a change of anything else is no new step.
func (r *review) stepSince(now practice.Prescription) practice.Date {
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

// goodWeeks counts back the weeks in a row with good sessions, up to a session
// that was not good or a week without any, and says of that why. The week under
// way may still be without. Two sessions in one week make one week's
// experience; a week in which one was not good does not count.
func (r *review) goodWeeks(sessions []*view, asked practice.Prescription) (weeks int, why string) {
	this := r.asOf.Monday()
	last := this + 7
	for _, v := range sessions {
		monday := v.Session.LocalDate.Monday()
		due := last - 7
		if due == this {
			due -= 7
		}
		if monday < due {
			return weeks, fmt.Sprintf(" (none in the week of %s)", due)
		}
		if good, reason := r.goodSession(v, asked); !good {
			if monday == last {
				weeks--
			}
			return weeks, " (" + reason + ")"
		}
		if monday < last {
			weeks, last = weeks+1, monday
		}
	}
	return weeks, ""
}

// leastLonger is how many seconds longer a bout is made at the least: less is
// lost in how exactly clients keep to a length. Common practice, no source.
const leastLonger = 30

// harderIntervals chooses between a round more and longer bouts: first rounds,
// up to their end, then length.
func (r *review) harderIntervals(s standing, weeks int) *suggestion {
	set := r.set.Progress
	done := fmt.Sprintf("%s with %s held evenly and recovered from", count(weeks, "week"), rounds(s.hard))
	// Lengths that were not stated are never too much.
	tooMuch := func(rounds int, seconds float64) bool { return float64(rounds)*seconds > 60*set.MostWorkMin }
	switch {
	case s.hard.Rounds > 0 && s.hard.Rounds < set.MostRounds && !tooMuch(s.hard.Rounds+1, s.hard.WorkS):
		return because(OneMoreRound, "%s: one more round next, up to %d.", done, set.MostRounds)
	case s.hard.WorkS < set.LongestBoutS && !tooMuch(s.hard.Rounds, s.hard.WorkS+leastLonger):
		return because(LongerBouts, "%s: bouts get longer next, up to %.0f s.", done, set.LongestBoutS)
	}
	return because(Hold, "%s: rounds and lengths are as far as they go.", done)
}

// rounds writes a prescription's rounds as 4 x 180 s.
func rounds(p practice.Prescription) string {
	if math.IsNaN(p.WorkS) {
		return count(p.Rounds, "round")
	}
	return fmt.Sprintf("%d x %.0f s", p.Rounds, p.WorkS)
}
