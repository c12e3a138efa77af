package main

import (
	"math"
	"slices"

	"boutwise/metrics"
	"boutwise/metrics/bouts"
	"boutwise/metrics/synthetic"
)

// span is one bout as any method reports it.
type span struct {
	start, end         float64 // s
	startHalf, endHalf float64 // s, 0 when the method has no intervals
}

// tally gathers what a method did on the sessions of one row.
type tally struct {
	sessions    int
	truth       int       // true bouts
	found       int       // reported bouts
	matched     int       // overlap of at least a half
	whole       int       // overlap over 0.9
	errors      []float64 // s, starts and ends of the matched ones
	covered     int       // boundaries within their interval
	meanErrors  []float64 // percent, output over the bout
	quarters    []float64 // percentage points
	paced       int       // bouts of two minutes or more with the right pacing
	pacedOf     int
	falseAlarms int // sessions without bouts in which some were reported
}

const (
	leastOverlap = 0.5 // of a match
	wholeOverlap = 0.9 // of a bout that was neither split nor merged
	longEnough   = 120 // s, from which pacing is asked for
)

// overlap is the length shared by two spans over the length of their union.
func overlap(t synthetic.Truth, s span) float64 {
	shared := min(t.End, s.end) - max(t.Start, s.start)
	if shared <= 0 {
		return 0
	}
	return shared / (max(t.End, s.end) - min(t.Start, s.start))
}

// add matches the spans of one session against its truth and tells whether
// all of it was found and nothing else.
func (t *tally) add(session synthetic.Session, in bouts.Input, spans []span) bool {
	t.sessions++
	t.truth += len(session.Truth)
	t.found += len(spans)
	if len(session.Truth) == 0 && len(spans) > 0 {
		t.falseAlarms++
	}
	used := make([]bool, len(spans))
	matched := 0
	for k, truth := range session.Truth {
		best, at := 0.0, -1
		for i, s := range spans {
			if o := overlap(truth, s); !used[i] && o > best {
				best, at = o, i
			}
		}
		if best < leastOverlap {
			continue
		}
		used[at] = true
		matched++
		if best > wholeOverlap {
			t.whole++
		}
		t.boundaries(truth, spans[at])
		t.outputs(session, k, spans[at], in)
	}
	t.matched += matched
	return matched == len(session.Truth) && matched == len(spans)
}

// boundaries records both boundary errors of a matched bout.
func (t *tally) boundaries(truth synthetic.Truth, s span) {
	start, end := math.Abs(s.start-truth.Start), math.Abs(s.end-truth.End)
	t.errors = append(t.errors, start, end)
	if start <= s.startHalf {
		t.covered++
	}
	if end <= s.endHalf {
		t.covered++
	}
}

// outputs records the errors of the mean and of the quarters, and whether the
// pacing read between the found boundaries is the one between the true ones.
func (t *tally) outputs(session synthetic.Session, k int, s span, in bouts.Input) {
	truth := session.Truth[k]
	stretch := metrics.Stretch{Start: s.start, End: s.end}
	t.meanErrors = append(t.meanErrors, 100*math.Abs(stretch.Mean(in.Values)/truth.Mean-1))
	for q, v := range metrics.Quarters(in.Values, stretch) {
		t.quarters = append(t.quarters, math.Abs(v-truth.Quarters[q]))
	}
	if truth.End-truth.Start < longEnough {
		return
	}
	t.pacedOf++
	limits := metrics.DefaultPacingLimits()
	right := metrics.PacingOf(session.Done, metrics.Stretch{Start: truth.Start, End: truth.End}, limits)
	if metrics.PacingOf(in.Values, stretch, limits) == right {
		t.paced++
	}
}

// merge adds another tally.
func (t *tally) merge(o tally) {
	t.sessions += o.sessions
	t.truth += o.truth
	t.found += o.found
	t.matched += o.matched
	t.whole += o.whole
	t.errors = append(t.errors, o.errors...)
	t.covered += o.covered
	t.meanErrors = append(t.meanErrors, o.meanErrors...)
	t.quarters = append(t.quarters, o.quarters...)
	t.paced += o.paced
	t.pacedOf += o.pacedOf
	t.falseAlarms += o.falseAlarms
}

// share is a fraction in percent, NaN of nothing.
func share(part, whole int) float64 {
	if whole == 0 {
		return math.NaN()
	}
	return 100 * float64(part) / float64(whole)
}

// quantile of a sample without its missing values, NaN of nothing.
func quantile(x []float64, p float64) float64 {
	sorted := slices.DeleteFunc(slices.Clone(x), math.IsNaN)
	if len(sorted) == 0 {
		return math.NaN()
	}
	slices.Sort(sorted)
	return sorted[int(p*float64(len(sorted)-1)+0.5)]
}
