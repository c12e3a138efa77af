package metrics

import "math"

// BoutKind is a bout's kind by its duration.
type BoutKind string

// The kinds of bout.
const (
	Burst    BoutKind = "burst"    // shorter than 2 minutes
	Interval BoutKind = "interval" // 2 to 10 minutes
	Block    BoutKind = "block"    // longer
)

// SessionKind is a session's kind by the bouts found in it.
type SessionKind string

// The kinds of session. See [SessionKindOf] for when each is given.
const (
	Base           SessionKind = "base"
	BaseWithBursts SessionKind = "base_with_bursts"
	Intervals      SessionKind = "intervals"
	Mixed          SessionKind = "mixed"
	Other          SessionKind = "other"
)

// KindLimits decides the kinds of bouts and sessions. All are common practice,
// without a source.
type KindLimits struct {
	// IntervalFrom and IntervalTo are the shortest and the longest interval in
	// seconds; 120 and 600.
	IntervalFrom, IntervalTo float64

	// Tolerance widens the intervals at both ends, in seconds, as bouts are
	// meant to last whole minutes and measured to within a few seconds: each
	// boundary may be off by two or three. 5.
	Tolerance float64

	// BaseMinutes is the least recorded movement that makes a session without
	// bouts a base session. 20: below, it is a walk to the bus.
	BaseMinutes float64

	// MinBursts and MinIntervals are the fewest bouts that show a design, not
	// a hill or a sprint for the lights. 3 and 2.
	MinBursts, MinIntervals int

	// BurstsFrom is the share of the session after which bursts count as being
	// near its end. 0.5: warm-down and the bursts themselves take the rest.
	BurstsFrom float64

	// DominantShare is the least share of the work that one kind of bout needs
	// to name the session. 0.8: a last interval broken off early does not turn
	// intervals into something else.
	DominantShare float64
}

// DefaultKindLimits are the limits a practice starts with.
func DefaultKindLimits() KindLimits {
	return KindLimits{
		IntervalFrom:  120,
		IntervalTo:    600,
		Tolerance:     5,
		BaseMinutes:   20,
		MinBursts:     3,
		MinIntervals:  2,
		BurstsFrom:    0.5,
		DominantShare: 0.8,
	}
}

// BoutKindOf is the kind of a bout of the given duration in seconds; empty for
// NaN.
func BoutKindOf(seconds float64, limits KindLimits) BoutKind {
	switch {
	case seconds < limits.IntervalFrom-limits.Tolerance:
		return Burst
	case seconds <= limits.IntervalTo+limits.Tolerance:
		return Interval
	case seconds > limits.IntervalTo+limits.Tolerance:
		return Block
	}
	return ""
}

// SessionKindOf names a session from the confirmed bouts in it, in order.
// endurance tells a sport that aerobic training is done in (walking, running,
// cycling, rowing, ...); seconds is the session's length, and moving the part
// of it that was recorded in movement.
//
//   - base: no bout, and at least limits.BaseMinutes of movement.
//   - base_with_bursts: at least limits.MinBursts bursts, the first of them
//     starting in the second half of the session, and hardly any other work.
//   - intervals: at least limits.MinIntervals intervals, and hardly any other
//     work in bouts.
//   - mixed: any other session with bouts: both kinds, bursts throughout,
//     blocks, a single interval.
//   - other: too short, or not an endurance sport.
func SessionKindOf(endurance bool, seconds, moving float64, bouts []Stretch, limits KindLimits) SessionKind {
	if !endurance {
		return Other
	}
	if len(bouts) == 0 {
		if moving >= limits.BaseMinutes*60 {
			return Base
		}
		return Other
	}

	count := map[BoutKind]int{}
	work := map[BoutKind]float64{}
	total := 0.0
	firstBurst := math.Inf(1)
	for _, bout := range bouts {
		kind := BoutKindOf(bout.Duration(), limits)
		count[kind]++
		work[kind] += bout.Duration()
		total += bout.Duration()
		if kind == Burst {
			firstBurst = min(firstBurst, bout.Start)
		}
	}

	dominant := limits.DominantShare * total
	switch {
	case count[Interval] >= limits.MinIntervals && work[Interval] >= dominant:
		return Intervals
	case count[Burst] >= limits.MinBursts && work[Burst] >= dominant &&
		firstBurst >= limits.BurstsFrom*seconds:
		return BaseWithBursts
	}
	return Mixed
}

// WarmUp is the time in seconds from the session's start to its first bout;
// NaN without bouts.
func WarmUp(bouts []Stretch) float64 {
	if len(bouts) == 0 {
		return math.NaN()
	}
	return bouts[0].Start
}

// CoolDown is the time in seconds from the end of the last bout's recovery to
// the session's end, so that warm-up, bouts, recoveries and cool-down add up
// to the session; NaN without bouts. The recovery after the last bout is taken
// to last three minutes at most, see [Recoveries].
func CoolDown(bouts []Stretch, sessionSeconds float64) float64 {
	if len(bouts) == 0 {
		return math.NaN()
	}
	return max(0, sessionSeconds-bouts[len(bouts)-1].End-lastRecoverySeconds)
}
