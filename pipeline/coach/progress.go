package coach

import (
	"fmt"
	"strings"

	"boutwise/metrics"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/tables"
)

// The suggestions by their fixed names.
const (
	Hold           = "hold"
	LongerBase     = "longer_base"
	AnotherBaseDay = "another_base_day"
	BeginBursts    = "begin_bursts"
	BeginIntervals = "begin_intervals"
	OneMoreRound   = "one_more_round"
	LongerBouts    = "longer_bouts"
	ShorterBouts   = "shorter_bouts"
	EaseBack       = "ease_back"
	RetestCapacity = "retest_capacity"
)

// suggestion is what might come next, and why.
type suggestion struct {
	name   string
	reason string
}

// because makes a suggestion.
func because(name, format string, args ...any) *suggestion {
	return &suggestion{name, fmt.Sprintf(format, args...)}
}

// count writes a number of things.
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// harder tells suggestions that ask for more than the client does now.
func (s suggestion) harder() bool {
	switch s.name {
	case Hold, EaseBack, ShorterBouts:
		return false
	}
	return true
}

// progress gives the client's stage and one suggestion. The rules stand in the
// order of their weight: what asks for less comes before what only forbids a
// step, and that before what allows one; the first that applies decides.
func (r *review) progress() tables.Progress {
	s := r.standing()
	rules := []func(standing) *suggestion{
		r.withoutPrescription,
		r.afterSilence,
		r.withOpenFinding,
		r.afterEmptyTank,
		r.afterTimeAway,
		r.afterUnfinished,
		r.afterMissedWeek,
		r.besideAChange,
		r.withTooMuch,
		r.nextStep,
	}
	var chosen *suggestion
	for _, rule := range rules {
		if chosen = rule(s); chosen != nil {
			break
		}
	}
	row := tables.Progress{
		ClientID: r.client.ID, AsOf: r.asOf, Stage: string(s.stage),
		Suggestion: chosen.name, Reason: chosen.reason,
		Caution:   strings.Join(r.cautions(s, *chosen), " "),
		KeptWeeks: int32(s.keptWeeks), MissedWeeks: int32(s.missedWeeks),
		BaseDrift: tables.Num(s.drift), DriftSessions: int32(s.driftSessions),
		IntervalSessions: int32(s.interval),
	}
	if s.sinceChange >= 0 {
		days := int32(s.sinceChange)
		row.DaysSinceChange = &days
	}
	return row
}

// cautions lists what must be said with a suggestion.
func (r *review) cautions(s standing, c suggestion) []string {
	var all []string
	if s.slower != "" {
		all = append(all, fmt.Sprintf(cautionSlower, s.slower))
	}
	if c.name == BeginIntervals && r.set.Progress.SubmaximalSessions > 0 {
		all = append(all, fmt.Sprintf(cautionSubmaximal, r.set.Progress.SubmaximalSessions))
	}
	if r.client.HRLimitingMedication {
		all = append(all, cautionMedication)
	}
	switch {
	case c.harder():
		all = append(all, cautionHarder)
	case c.name == EaseBack || c.name == ShorterBouts:
		all = append(all, cautionEasier)
	}
	return all
}

// withoutPrescription: a step has to be taken from somewhere.
func (r *review) withoutPrescription(s standing) *suggestion {
	if s.base.PerWeek > 0 || s.hard.PerWeek > 0 {
		return nil
	}
	return because(Hold, "Nothing is prescribed, so no step can be judged.")
}

// afterSilence: a client who is away is asked first.
func (r *review) afterSilence(s standing) *suggestion {
	last, silent := r.silentSince()
	if !silent {
		return nil
	}
	return because(Hold, "No session since %s: make contact before anything is changed.", last)
}

// withOpenFinding: never a step while an urgent finding is open, nor while the
// data or the client say that something is wrong with them.
func (r *review) withOpenFinding(standing) *suggestion {
	f, open := r.open(func(f tables.Finding) bool {
		switch f.Finding {
		case LowHRRecovery, OutputDrop, ExertionHigh, SharedExport:
			return true
		}
		return f.Severity == Urgent
	})
	switch {
	case !open:
		return nil
	case f.Severity == Urgent:
		return because(Hold, "An urgent finding is open since %s: %s. The clinician decides what comes next.", f.Date, f.Message)
	}
	return because(Hold, "A finding is open since %s: %s. No step until it is explained.", f.Date, f.Message)
}

// afterEmptyTank: the first interval sessions are expected to be submaximal. A
// client who empties the tank in them is told to do less.
func (r *review) afterEmptyTank(s standing) *suggestion {
	set := r.set.Progress
	if s.interval == 0 || s.interval > set.SubmaximalSessions || s.stage != practice.Intervals {
		return nil
	}
	for i := len(r.sessions) - 1; i >= 0; i-- {
		v := r.sessions[i]
		if v.kind() != metrics.Intervals {
			continue
		}
		evidence := r.emptied(v)
		if len(evidence) == 0 {
			return nil
		}
		return because(EaseBack, "Interval session %d of the first %d, which are to stay submaximal, emptied the tank on %s: %s. "+
			"Ask for less: an easier first minute, a lower output, or fewer rounds.",
			s.interval, set.SubmaximalSessions, v.Session.LocalDate, strings.Join(evidence, "; "))
	}
	return nil
}

// emptied lists the signs that a session took all that the client had.
func (r *review) emptied(v *view) []string {
	set := r.set.Progress
	var signs []string
	if rated := tables.Value(v.Session.RatedExertion); rated >= set.EmptyTankExertion {
		signs = append(signs, fmt.Sprintf("rated %.0f of 10", rated))
	}
	if near := r.nearMaxS(v); near >= set.EmptyTankNearMaxS {
		signs = append(signs, fmt.Sprintf("%.0f s near maximal heart rate", near))
	}
	if last := v.lastToFirst(); last <= set.EmptyTankLastPct {
		signs = append(signs, fmt.Sprintf("last bout at %.0f %% of the first", last))
	}
	return signs
}

// afterTimeAway: after weeks away a client does not start where they left off.
func (r *review) afterTimeAway(s standing) *suggestion {
	if s.missedWeeks < r.set.Progress.EaseBackWeeks {
		return nil
	}
	return because(EaseBack, "%s in a row not kept (below %.0f %% of the sessions prescribed): agree on less, and build up again from there.",
		count(s.missedWeeks, "week"), r.set.Progress.WeekKeptPct)
}

// afterUnfinished: two interval sessions running that were broken off or faded,
// and bouts get shorter.
func (r *review) afterUnfinished(s standing) *suggestion {
	if s.stage != practice.Intervals {
		return nil
	}
	sessions := r.recent(metrics.Intervals, r.stepSince(s.hard))
	if len(sessions) < 2 {
		return nil
	}
	for _, v := range sessions[:2] {
		if len(v.confirmed) >= s.hard.Rounds && !r.has(v, Faded) {
			return nil
		}
	}
	return because(ShorterBouts, "The last two interval sessions, on %s and %s, were not finished or faded: shorter bouts that can be held teach more.",
		sessions[1].Session.LocalDate, sessions[0].Session.LocalDate)
}

// afterMissedWeek: the work stays as it is until a week is kept again.
func (r *review) afterMissedWeek(s standing) *suggestion {
	if s.missedWeeks == 0 {
		return nil
	}
	return because(Hold, "The last week was not kept (below %.0f %% of the sessions prescribed): no step until one is.", r.set.Progress.WeekKeptPct)
}

// besideAChange: one step at a time. One that is written down already counts
// as well as one that was taken.
func (r *review) besideAChange(s standing) *suggestion {
	due := r.need(s, r.set.Progress.DaysBetweenSteps)
	switch {
	case s.nextChange > 0 && s.nextChange < r.asOf+calendar.Date(due):
		return because(Hold, "The prescription changes on %s already: one step at a time.", s.nextChange)
	case s.sinceChange >= 0 && s.sinceChange < due:
		return because(Hold, "The prescription changed %s ago, %d are due: one step at a time.", count(s.sinceChange-1, "day"), due)
	}
	return nil
}

// withTooMuch: who does more or harder work than was asked for is not asked
// for more.
func (r *review) withTooMuch(standing) *suggestion {
	f, open := r.open(func(f tables.Finding) bool {
		switch f.Finding {
		case BaseAboveBand, TooClose, TooManyInterval, WeeklyJump:
			return true
		}
		return false
	})
	switch {
	case !open:
		return nil
	case f.Finding == BaseAboveBand:
		return because(Hold, "Base work is not easy yet: on %s, %s.", f.Date, f.Message)
	}
	return because(Hold, "More was done than asked: on %s, %s. No step until that has settled.", f.Date, f.Message)
}

// forRetest: an old test is renewed before the work gets harder still.
func (r *review) forRetest(s standing) *suggestion {
	set := r.set.Progress
	last, how := r.lastTest()
	days := int(r.asOf - last)
	if s.stage != practice.Intervals || how == "" || days < 7*set.RetestWeeks {
		return nil
	}
	return because(RetestCapacity, "Capacity was last tested on %s (%s), %s ago; from %d weeks on a new test shows what has changed.",
		last, how, count(days/7, "week"), set.RetestWeeks)
}

// lastTest is the day of the latest test of capacity: a measurement, or the
// maximal bouts that a critical power can be fitted to. "" when there was
// none.
func (r *review) lastTest() (day practice.Date, how string) {
	for _, quantity := range []practice.Quantity{practice.CriticalPower, practice.VO2Max} {
		if on, measured := r.practice.LastMeasured(r.client.ID, quantity, r.asOf); measured && (how == "" || on > day) {
			day, how = on, string(quantity)
		}
	}
	efforts, _ := r.maximalBouts(0)
	// A single bout near the maximum is a hard day; a test has several, of
	// lengths that differ.
	if len(best(efforts)) < r.set.Capacity.MinEfforts {
		return day, how
	}
	for _, e := range efforts {
		if how == "" || e.day > day {
			day, how = e.day, "maximal bouts"
		}
	}
	return day, how
}

// nextStep is the rule of the client's stage, with a new test of capacity in
// the place of a step where the last one is old.
func (r *review) nextStep(s standing) *suggestion {
	step := r.stepOfStage(s)
	if step.harder() {
		if retest := r.forRetest(s); retest != nil {
			return retest
		}
	}
	return step
}

// stepOfStage is the rule of the client's stage alone.
func (r *review) stepOfStage(s standing) *suggestion {
	switch s.stage {
	case practice.BaseWithBursts:
		return r.afterBursts(s)
	case practice.Intervals:
		return r.afterIntervals(s)
	}
	return r.afterBase(s)
}
