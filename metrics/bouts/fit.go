package bouts

import (
	"math"
	"slices"
)

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
	noise  float64 // long-run variance
	top    float64 // level that little lies above
}

// Constants of the staircase.
const (
	blockSeconds    = 2    // fine enough for rests of 10 s
	shortestSegment = 6    // s
	longestSegment  = 1200 // s; longer ones are cut, which does no harm

	// The penalty of a level, in units of the long-run variance. Missing a
	// bout here cannot be mended later, one step too many can.
	penaltyFactor = 5

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
	return f
}

// solve computes the steps at the present noise.
func (f *fit) solve() {
	// An excursion costs two steps.
	floor := leastStep * leastStep * f.top * f.top * leastStepSeconds / 2
	penalty := max(floor, penaltyFactor*f.noise)
	if penalty <= 0 {
		penalty = math.SmallestNonzeroFloat64
	}
	cuts := f.blocks.partition(penalty, shortestSegment/f.size, longestSegment/f.size)
	f.steps = f.steps[:0]
	a := 0
	for _, b := range cuts {
		m := f.blocks.mean(a, b)
		if math.IsNaN(m) {
			m = 0
		}
		f.steps = append(f.steps, step{a: a, b: b, mean: m})
		a = b
	}
}

// quantile is a level below which a share of the weighted blocks lies.
func (f *fit) quantile(share float64) float64 {
	levels := make([]float64, 0, f.blocks.n)
	for k := range f.blocks.n {
		if m := f.blocks.mean(k, k+1); !math.IsNaN(m) {
			levels = append(levels, m)
		}
	}
	if len(levels) == 0 {
		return 0
	}
	slices.Sort(levels)
	return levels[int(share*float64(len(levels)-1))]
}

// filled returns the steps with every dip of at most longest seconds that
// lies between two higher steps joined to them.
func (f *fit) filled(longest float64) []step {
	steps := slices.Clone(f.steps)
	for again := true; again; {
		again = false
		for k := 1; k+1 < len(steps); k++ {
			l, m, r := steps[k-1], steps[k], steps[k+1]
			if float64((m.b-m.a)*f.size) > longest || m.mean >= l.mean || m.mean >= r.mean {
				continue
			}
			// Only what resumes at about the same level was interrupted.
			if math.Abs(l.mean-r.mean) > 0.3*(min(l.mean, r.mean)-m.mean) {
				continue
			}
			joined := step{a: l.a, b: r.b, mean: f.blocks.mean(l.a, r.b)}
			steps = slices.Replace(steps, k-1, k+2, joined)
			again = true
		}
	}
	return steps
}
