package bouts

import "math"

// step is one fitted level over blocks [a, b).
type step struct {
	a, b int
	mean float64
}

// fit is a series as a staircase.
type fit struct {
	size   int // seconds a block
	blocks blocks
	steps  []step
	coarse []step  // the same with a higher penalty; nil where noise is small
	noise  float64 // long-run variance
	top    float64 // level that little lies above
}

// Constants of the staircase.
const (
	blockSeconds    = 2   // fine enough for rests of 10 s
	shortestSegment = 6   // s
	longestSegment  = 600 // s; longer ones are cut, which does no harm

	// The coarse staircase is made of larger blocks, in blocks.
	coarseBlocks = 3

	// The penalty of a level, in units of the long-run variance. Missing a
	// bout here cannot be mended later, one step too many can. On the road a
	// second, coarser staircase sees long bouts through their surges and
	// dips.
	penaltyFactor = 5
	coarseFactor  = 40

	// A change of less than this share of the top level for less than this
	// many seconds is not worth a step however clean the signal.
	leastStep        = 0.06
	leastStepSeconds = 20
)

// newFit fits a staircase to a series, with the noise judged on the way.
func newFit(p series) fit {
	f := fit{size: blockSeconds, blocks: newBlocks(p.y, p.w, blockSeconds)}
	f.top = f.quantile(0.95)
	f.noise = firstNoise(p)
	f.solve()
	// Residuals know the noise better than differences do, which lose its
	// slow part; but steps that were missed would inflate them.
	if v := residualNoise(p, f); v > 1.5*f.noise {
		f.noise = min(v, 6*f.noise)
		f.solve()
	}
	f.solveCoarse(p)
	return f
}

// leastPenalty is the penalty of a step on a clean signal. An excursion costs
// two steps.
func (f *fit) leastPenalty() float64 {
	return leastStep * leastStep * f.top * f.top * leastStepSeconds / 2
}

// solve computes the steps at the present noise.
func (f *fit) solve() {
	floor := f.leastPenalty()
	f.steps = f.staircase(f.blocks, 1, max(floor, penaltyFactor*f.noise))
}

// solveCoarse adds the coarse steps where noise calls for them.
func (f *fit) solveCoarse(p series) {
	floor := f.leastPenalty()
	if coarseFactor*f.noise > floor {
		large := newBlocks(p.y, p.w, coarseBlocks*f.size)
		f.coarse = f.snapped(f.staircase(large, coarseBlocks, coarseFactor*f.noise))
	}
}

// snapReach is how far, in blocks, a coarse boundary is moved to a fine one.
const snapReach = 8

// snapped moves the boundaries of coarse steps to the nearest of the fine
// ones, where there is one close by.
func (f *fit) snapped(coarse []step) []step {
	out := coarse[:0]
	a, k := 0, 0
	for _, st := range coarse {
		for k+1 < len(f.steps) && math.Abs(float64(f.steps[k+1].b-st.b)) <= math.Abs(float64(f.steps[k].b-st.b)) {
			k++
		}
		b := st.b
		if d := f.steps[k].b - st.b; d >= -snapReach && d <= snapReach {
			b = f.steps[k].b
		}
		// Two that snap to one leave nothing between them.
		if b > a {
			out = append(out, step{a: a, b: b, mean: f.level(a, b)})
			a = b
		}
	}
	return out
}

// level is the mean over blocks [a, b), 0 when nothing weighs.
func (f *fit) level(a, b int) float64 {
	if m := f.blocks.mean(a, b); !math.IsNaN(m) {
		return m
	}
	return 0
}

// staircase is the best fit to blocks that are ratio times the fit's own, at
// a penalty a step.
func (f *fit) staircase(of blocks, ratio int, penalty float64) []step {
	size := ratio * f.size
	cuts := of.partition(penalty, max(1, shortestSegment/size), longestSegment/size, of.places())
	steps := make([]step, len(cuts))
	a := 0
	for k, cut := range cuts {
		b := min(f.blocks.n, cut*ratio)
		steps[k] = step{a: a, b: b, mean: f.level(a, b)}
		a = b
	}
	return steps
}

// quantileOf is the most blocks that a quantile is taken of: of more, one in so
// many.
const quantileOf = 1000

// quantile is a level below which a share of the weighted blocks lies.
func (f *fit) quantile(share float64) float64 {
	stride := (f.blocks.n + quantileOf - 1) / quantileOf
	levels := make([]float64, 0, quantileOf)
	for k := 0; k < f.blocks.n; k += stride {
		if m := f.blocks.mean(k, k+1); !math.IsNaN(m) {
			levels = append(levels, m)
		}
	}
	if len(levels) == 0 {
		return 0
	}
	return ranked(levels, int(share*float64(len(levels)-1)))
}

// filled returns the steps with every short dip between two higher steps
// joined to them: one of at most longest seconds, or of dipShare of what it
// interrupts.
func (f *fit) filled(steps []step, longest float64) []step {
	out := make([]step, 0, len(steps))
	for _, next := range steps {
		out = append(out, next)
		// A join makes a longer step, which may bridge the dip before it too.
		for len(out) >= 3 && f.interrupted(out[len(out)-3:], longest) {
			l, r := out[len(out)-3], out[len(out)-1]
			out = append(out[:len(out)-3], step{a: l.a, b: r.b, mean: f.level(l.a, r.b)})
		}
	}
	return out
}

// dipShare is the longest dip as a share of the work on both sides, and
// longestDip its bound in seconds: a corner or a descent in a block of twenty
// minutes may take that long.
const dipShare, longestDip = 0.08, 60

// interrupted tells whether the middle one of three steps is a dip that may
// be joined: short, and resumed at about the same level.
func (f *fit) interrupted(s []step, longest float64) bool {
	l, m, r := s[0], s[1], s[2]
	if m.mean >= l.mean || m.mean >= r.mean {
		return false
	}
	return f.brief(l.b-l.a+r.b-r.a, m.b-m.a, longest) && f.resumed(l.mean, m.mean, r.mean)
}

// brief tells whether a dip is short: in seconds, or beside the work around it.
func (f *fit) brief(around, dip int, longest float64) bool {
	return float64(dip*f.size) <= max(longest, min(longestDip, dipShare*float64(around*f.size)))
}

// resumed tells whether the output after a dip is about what it was before.
func (f *fit) resumed(before, dip, after float64) bool {
	return math.Abs(before-after) <= 0.3*(min(before, after)-dip)
}
