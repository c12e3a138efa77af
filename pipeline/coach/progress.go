package coach

import (
	"fmt"
	"strings"

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
	asks   bool // after symptoms first, though it does not ask for less
}

// because makes a suggestion.
func because(name, format string, args ...any) *suggestion {
	return &suggestion{name: name, reason: fmt.Sprintf(format, args...)}
}

// asking marks a suggestion before which the client is asked for symptoms.
func (s *suggestion) asking() *suggestion {
	s.asks = true
	return s
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
// order of their weight, and the first that applies decides: what is urgent, or
// leaves nothing to judge, comes first; what asks for less comes before what
// only forbids a step, and that before what allows one.
func (r *review) progress() tables.Progress {
	s := r.standing()
	rules := []func(standing) *suggestion{
		r.withUrgentFinding,
		r.withoutPrescription,
		r.afterSilence,
		r.afterEmptyTank,
		r.afterTimeAway,
		r.afterUnfinished,
		r.withOpenFinding,
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
	if first := r.submaximal(s); c.name == BeginIntervals && first > 0 {
		all = append(all, fmt.Sprintf(cautionSubmaximal, capital(firstSessions(first))))
	}
	if r.client.HRLimitingMedication {
		all = append(all, cautionMedication)
	}
	switch {
	case c.harder():
		all = append(all, cautionHarder)
	case c.asks || c.name == EaseBack || c.name == ShorterBouts:
		all = append(all, cautionEasier)
	}
	return all
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
