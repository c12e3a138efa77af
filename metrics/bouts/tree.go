package bouts

import (
	"cmp"
	"math"
	"slices"
)

// candidate is a stretch that stands above what lies on both sides of it.
type candidate struct {
	a, b        int     // blocks [a, b)
	seconds     float64 // length
	level       float64 // mean
	left, right float64 // mean of what lies before and after
	z           float64 // contrast in standard errors

	logSeconds, logZ float64 // their logarithms, which many comparisons need
}

// openStart is how early in a session, in blocks, a bout cannot begin without
// its start being open.
const openStart = 10

// open tells whether the candidate begins with the session: nobody starts a
// set without having warmed up, and what lies before is not known.
func (c candidate) open() bool { return c.a < openStart }

// contrast is how far the candidate stands above its higher flank, as a share
// of its level.
func (c candidate) contrast() float64 {
	return 1 - max(c.left, c.right)/c.level
}

// candidates returns the upper level sets of the staircase, every stretch
// that at some level is an unbroken run above it, as far as they stand out.
// Parents are kept beside their parts: that is what lets a fast start or a
// fade stay one bout. The staircase with its short dips filled gives a second
// tree, for bouts that were interrupted; the coarse one two more.
func (f *fit) candidates(s Settings) []candidate {
	var found []candidate
	seen := map[[2]int]bool{}
	for _, runs := range [][][2]int{
		upperRuns(f.steps), upperRuns(f.filled(f.steps, s.Dip)), upperRuns(f.coarse), f.closedRuns(f.coarse, s.Dip),
	} {
		for _, run := range runs {
			if seen[run] {
				continue
			}
			seen[run] = true
			if c, ok := f.candidate(run[0], run[1], s); ok {
				found = append(found, c)
			}
		}
	}
	slices.SortFunc(found, func(x, y candidate) int {
		return cmp.Or(cmp.Compare(x.b, y.b), cmp.Compare(x.a, y.a))
	})
	return found
}

// upperRuns returns the maximal runs of steps above each level of a
// staircase, as pairs of blocks, in one pass with a stack of open runs.
func upperRuns(steps []step) [][2]int {
	type open struct {
		a     int
		level float64
	}
	var stack []open
	var runs [][2]int
	closeTo := func(level float64, at int) int {
		a := at
		for len(stack) > 0 && stack[len(stack)-1].level > level {
			top := stack[len(stack)-1]
			stack = stack[:len(stack)-1]
			runs = append(runs, [2]int{top.a, at})
			a = top.a
		}
		return a
	}
	for _, st := range steps {
		a := closeTo(st.mean, st.a)
		if len(stack) == 0 || stack[len(stack)-1].level < st.mean {
			stack = append(stack, open{a: a, level: st.mean})
		}
	}
	if len(steps) > 0 {
		closeTo(math.Inf(-1), steps[len(steps)-1].b)
	}
	return runs
}

// mostLevels bounds the levels at which dips are closed.
const mostLevels = 48

// closedRuns returns, for each level of a staircase, the runs of steps above it
// that come of closing every dip which is short beside the runs on both sides.
func (f *fit) closedRuns(steps []step, longest float64) [][2]int {
	var closed [][2]int
	for _, level := range levelsOf(steps) {
		run, joined := [2]int{}, false
		for k := 0; k < len(steps); k++ {
			if steps[k].mean < level {
				continue
			}
			next := [2]int{steps[k].a, steps[k].b}
			for k+1 < len(steps) && steps[k+1].mean >= level {
				k++
				next[1] = steps[k].b
			}
			if run[1] > 0 && f.bridged(run, next, longest) {
				run[1], joined = next[1], true
				continue
			}
			if joined {
				closed = append(closed, run)
			}
			run, joined = next, false
		}
		if joined {
			closed = append(closed, run)
		}
	}
	return closed
}

// levelsOf are the levels of a staircase, or as many of them, evenly chosen, as
// are looked at.
func levelsOf(steps []step) []float64 {
	levels := make([]float64, len(steps))
	for k, st := range steps {
		levels[k] = st.mean
	}
	slices.Sort(levels)
	if len(levels) <= mostLevels {
		return levels
	}
	for k := range mostLevels {
		levels[k] = levels[(k+1)*(len(levels)-1)/mostLevels]
	}
	return levels[:mostLevels]
}

// bridged tells whether the dip between two runs may be part of one bout.
func (f *fit) bridged(l, r [2]int, longest float64) bool {
	return f.brief(l[1]-l[0]+r[1]-r[0], r[0]-l[1], longest) &&
		f.resumed(f.level(l[0], l[1]), f.level(l[1], r[0]), f.level(r[0], r[1]))
}

// leastZ is the contrast in standard errors that noise reaches by itself.
const leastZ = 2

// candidate measures a run against its flanks.
func (f *fit) candidate(a, b int, s Settings) (candidate, bool) {
	c := candidate{a: a, b: b, seconds: float64((b - a) * f.size), level: f.blocks.mean(a, b)}
	if c.seconds < s.ShortestBout || c.seconds > s.LongestBout || !(c.level > 0) {
		return c, false
	}
	// The flank must be short beside the bout, or it would reach into the
	// next one; a minute is enough to know a level.
	flank := int(min(60, max(8, c.seconds/2))) / f.size
	c.left = f.flank(a-flank, a)
	c.right = f.flank(b, b+flank)
	if c.contrast() < s.LeastContrast {
		return c, false
	}
	spread := f.noise * (1/c.seconds + 1/float64(flank*f.size))
	c.z = c.contrast() * c.level / math.Sqrt(spread+1e-9*c.level*c.level)
	c.logSeconds, c.logZ = math.Log(c.seconds), math.Log(c.z)
	return c, c.z > leastZ
}

// flank is the mean over blocks [a, b); beyond the session there is no
// output.
func (f *fit) flank(a, b int) float64 {
	lo, hi := max(0, a), min(f.blocks.n, b)
	w := f.blocks.weight[hi] - f.blocks.weight[lo]
	if w <= 0 {
		return 0
	}
	return (f.blocks.sum[hi] - f.blocks.sum[lo]) / w
}
