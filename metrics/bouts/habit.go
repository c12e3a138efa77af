package bouts

import (
	"cmp"
	"math"
	"slices"
)

// A set repeats its durations, closely on a programmed trainer and loosely by
// feel. How closely, its own clear boundaries tell; where one is unclear, the
// other end of its bout or rest, one usual duration away, then says where to
// expect it. A set of three is the least that shows a habit.
const (
	leastHabit = 3

	// oddShare of the durations do not follow the habit: they may be any,
	// within oddRange seconds.
	oddShare, oddRange = 0.15, 40.0

	// leastSpread in seconds is the closest habit: of what is known to half a
	// second, a few agree by chance.
	leastSpread = 1.0

	// clearSpread is the standard error in seconds up to which a duration is
	// known well enough to show a habit.
	clearSpread = 1.0
)

// duration is how long a bout or a rest was found to be, and the standard error
// of that, in seconds.
type duration struct{ seconds, spread float64 }

// habit is what a set's durations keep to. As few show it, deviations from it
// follow Student's distribution rather than the normal one.
type habit struct {
	usual, spread float64 // s
	freedom       float64 // degrees of freedom
}

// newHabit judges the habit in some durations by the better known half of them,
// and all that are known well.
func newHabit(all []duration) (habit, bool) {
	if len(all) < leastHabit {
		return habit{}, false
	}
	slices.SortStableFunc(all, func(a, b duration) int { return cmp.Compare(a.spread, b.spread) })
	n := max(leastHabit, (len(all)+1)/2)
	for n < len(all) && all[n].spread < clearSpread {
		n++
	}
	values := make([]float64, n)
	for k, d := range all[:n] {
		values[k] = d.seconds
	}
	h := habit{usual: medianOf(values), freedom: float64(n - 1)}
	for k, v := range values {
		values[k] = math.Abs(v - h.usual)
	}
	slices.Sort(values)
	// Two thirds of a normal variable's absolute values lie below 0.97 standard
	// deviations; the others may be odd ones.
	h.spread = max(leastSpread, values[n*2/3]/0.97)
	return h, true
}

// belief is the density of a duration, of which the other end is known up to a
// standard error.
func (h habit) belief(seconds, spread float64) float64 {
	d := seconds - h.usual
	square := h.spread*h.spread + spread*spread
	t := math.Exp(-(h.freedom + 1) / 2 * math.Log(1+d*d/(square*h.freedom)))
	return oddShare/oddRange + (1-oddShare)*t/(rootTwoPi*math.Sqrt(square))
}

// habits are those of one set.
type habits struct {
	work, rest       habit
	hasWork, hasRest bool
}

// newHabits judges the bouts of a set, given by their places among all bouts,
// whose boundaries lie at the places given, a start and an end in turn.
func newHabits(set []int, at []placed) habits {
	var work, rest []duration
	for i, k := range set {
		work = append(work, durationOf(at[2*k], at[2*k+1]))
		if follows(set, i) {
			rest = append(rest, durationOf(at[2*k-1], at[2*k]))
		}
	}
	var h habits
	h.work, h.hasWork = newHabit(work)
	h.rest, h.hasRest = newHabit(rest)
	return h
}

// follows tells whether the bout before the i-th of a set is of the set too:
// only then there is one rest between them.
func follows(set []int, i int) bool { return i > 0 && i < len(set) && set[i-1] == set[i]-1 }

// durationOf is the time between two boundaries.
func durationOf(a, b placed) duration {
	return duration{seconds: b.at - a.at, spread: math.Hypot(a.standardError(), b.standardError())}
}

// standardError is that of a boundary, read off its 90 % interval.
func (p placed) standardError() float64 { return p.half / 1.645 }

// belief is how far boundary k, of the i-th bout of a set, is expected at a time,
// given where the boundaries before and after it were found on their own; nil
// when they tell nothing.
func (h habits) belief(set []int, i, k int, at []placed) func(float64) float64 {
	before, after := h.rest, h.work
	hasBefore, hasAfter := h.hasRest && follows(set, i), h.hasWork
	if k == 2*set[i]+1 {
		before, after = h.work, h.rest
		hasBefore, hasAfter = h.hasWork, h.hasRest && follows(set, i+1)
	}
	if !hasBefore && !hasAfter {
		return nil
	}
	return func(t float64) float64 {
		v := 1.0
		if hasBefore {
			v *= before.belief(t-at[k-1].at, at[k-1].standardError())
		}
		if hasAfter {
			v *= after.belief(at[k+1].at-t, at[k+1].standardError())
		}
		return v
	}
}
