package coach

import (
	"fmt"
	"math"

	"boutwise/pipeline/practice"
)

// afterBase is the step from base work: kept long enough and easy, it gets
// longer, then more frequent, then bursts are added.
func (r *review) afterBase(s standing) *suggestion {
	set := r.set.Progress
	if s.drift > set.BaseMaxDriftPct {
		drift, most := apart(s.drift, set.BaseMaxDriftPct, 1)
		return because(Hold, "Heart rate drifts by %s %% in base sessions (median of %d), more than %s %%: the base is not firm yet.",
			drift, s.driftSessions, most)
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
			now, most := apart(s.base.Minutes, set.BaseMinutes, 0)
			return because(LongerBase, "%s kept at %s minutes, %d due; up to %s minutes a session gets longer first.",
				count(s.weeksAtStep, "week"), now, step, most)
		case s.base.PerWeek < set.BaseDays:
			each := ""
			if s.base.Minutes > 0 {
				each = fmt.Sprintf(" of %.0f minutes", s.base.Minutes)
			}
			return because(AnotherBaseDay, "%s kept with %s%s, %d due; up to %s a day is added next.",
				count(s.weeksAtStep, "week"), count(s.base.PerWeek, "session"), each, step, count(set.BaseDays, "session"))
		}
	}
	if short {
		last, due := apart(s.minutes, set.BurstBaseMinutes, 0)
		return because(Hold, "Base sessions last %s minutes (median of the last %s), %s are due before bursts.",
			last, count(set.BaseWeeks, "week"), due)
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

// afterBursts is the step from bursts: enough weeks in a row with bursts held
// evenly and recovered from, and intervals begin.
func (r *review) afterBursts(s standing) *suggestion {
	due := r.need(s, r.set.Progress.BurstWeeks)
	good := r.goodWeeks(r.tries(s.hard, 0), s.hard)
	if good.weeks < due {
		return because(Hold, "Due before intervals: %s in a row with bursts held evenly and recovered from; %d so far%s.", count(due, "week"), good.weeks, good.why)
	}
	return because(BeginIntervals, "%s with bursts held evenly and recovered from, %d due: begin intervals with %s, once a week.",
		count(good.weeks, "week"), due, count(r.set.Progress.FirstRounds, "round"))
}

// afterIntervals is the step within intervals: enough weeks done as
// prescribed, and a round is added, or once there are enough rounds bouts get
// longer.
func (r *review) afterIntervals(s standing) *suggestion {
	due := r.need(s, r.set.Progress.IntervalWeeks)
	good := r.goodWeeks(r.tries(s.hard, r.stepSince(s.hard)), s.hard)
	if good.weeks < due {
		return because(Hold, "Due before the next step: %s in a row with intervals done as prescribed; %d so far%s.", count(due, "week"), good.weeks, good.why)
	}
	if first := r.submaximal(s); s.interval < first {
		return because(Hold, "%s done; %s to stay submaximal, and no step comes before that.", count(s.interval, "interval session"), firstSessions(first))
	}
	return r.harderIntervals(s, good)
}

// leastLonger is how many seconds longer a bout is made at the least: less is
// lost in how exactly clients keep to a length. Common practice, no source.
const leastLonger = 30

// harderIntervals chooses between a round more and longer bouts: first rounds,
// up to their end, then length. Where no length was asked for, the longest that
// was done bounds the work, and length is not for the program to choose.
func (r *review) harderIntervals(s standing, good goodWeeks) *suggestion {
	set := r.set.Progress
	done := fmt.Sprintf("%s with %s held evenly and recovered from", count(good.weeks, "week"), rounds(s.hard))
	if s.hard.Rounds == 0 {
		return because(Hold, "%s. How many rounds is not prescribed, so that no step can be judged from them: write it down.", done)
	}
	seconds := s.hard.WorkS
	if math.IsNaN(seconds) {
		seconds = good.longest
	}
	tooMuch := func(rounds int, seconds float64) bool { return float64(rounds)*seconds > 60*set.MostWorkMin }
	switch {
	case s.hard.Rounds < set.MostRounds && !tooMuch(s.hard.Rounds+1, seconds):
		return because(OneMoreRound, "%s: one more round next, up to %d.", done, set.MostRounds)
	case s.hard.WorkS < set.LongestBoutS && !tooMuch(s.hard.Rounds, seconds+leastLonger):
		return because(LongerBouts, "%s: bouts get longer next, up to %.0f s.", done, set.LongestBoutS)
	}
	return because(Hold, "%s: rounds and lengths are as far as they go.", done)
}

// rounds writes a prescription's rounds as 4 x 180 s, or as much of it as is
// stated.
func rounds(p practice.Prescription) string {
	switch {
	case p.Rounds > 0 && p.WorkS > 0:
		return fmt.Sprintf("%d x %.0f s", p.Rounds, p.WorkS)
	case p.Rounds > 0:
		return count(p.Rounds, "round")
	case p.WorkS > 0:
		return fmt.Sprintf("bouts of %.0f s", p.WorkS)
	}
	return "bouts"
}
