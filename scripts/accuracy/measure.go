package main

import (
	"math"
	"slices"

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

// overlap is the length shared by two spans over the length of their union.
func overlap(t synthetic.Truth, s span) float64 {
	shared := min(t.End, s.end) - max(t.Start, s.start)
	if shared <= 0 {
		return 0
	}
	return shared / (max(t.End, s.end) - min(t.Start, s.start))
}

// add matches the spans of one session against its truth.
func (t *tally) add(session synthetic.Session, in bouts.Input, spans []span) {
	t.sessions++
	t.truth += len(session.Truth)
	t.found += len(spans)
	if len(session.Truth) == 0 && len(spans) > 0 {
		t.falseAlarms++
	}
	used := make([]bool, len(spans))
	for _, truth := range session.Truth {
		best, at := 0.0, -1
		for k, s := range spans {
			if o := overlap(truth, s); !used[k] && o > best {
				best, at = o, k
			}
		}
		if best < 0.5 {
			continue
		}
		used[at] = true
		t.matched++
		if best > 0.9 {
			t.whole++
		}
		t.boundaries(truth, spans[at])
		t.outputs(truth, spans[at], in)
	}
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

// outputs records the errors of the mean and of the quarters.
func (t *tally) outputs(truth synthetic.Truth, s span, in bouts.Input) {
	mean := meanOver(in.Values, s.start, s.end)
	t.meanErrors = append(t.meanErrors, 100*math.Abs(mean/truth.Mean-1))
	var quarters [4]float64
	for q := range quarters {
		length := (s.end - s.start) / 4
		from := s.start + float64(q)*length
		quarters[q] = 100 * meanOver(in.Values, from, from+length) / mean
		t.quarters = append(t.quarters, math.Abs(quarters[q]-truth.Quarters[q]))
	}
	if truth.End-truth.Start >= 120 {
		t.pacedOf++
		if pacing(quarters) == pacing(truth.Quarters) {
			t.paced++
		}
	}
}

// meanOver is the mean of the present values whose second lies in [from, to).
func meanOver(x []float64, from, to float64) float64 {
	sum, n := 0.0, 0.0
	for i := max(0, int(math.Round(from))); i < min(len(x), int(math.Round(to))); i++ {
		if !math.IsNaN(x[i]) {
			sum += x[i]
			n++
		}
	}
	return sum / n
}

// pacing names how a bout was spread over its quarters, for comparing truth
// and finding by one yardstick.
func pacing(q [4]float64) string {
	const limit = 3 // percentage points from the mean
	switch {
	case q[0]-100 > limit && q[3] <= 100+limit && q[0]-q[1] > q[1]-q[3]:
		return "fast_start"
	case q[0]-q[3] > 2*limit:
		return "fade"
	case q[3]-q[0] > 2*limit:
		return "build"
	case slices.Max(q[:])-slices.Min(q[:]) > 2*limit:
		return "uneven"
	}
	return "even"
}

// share is a fraction in percent, NaN of nothing.
func share(part, whole int) float64 {
	if whole == 0 {
		return math.NaN()
	}
	return 100 * float64(part) / float64(whole)
}

// quantile of a sample, NaN of nothing.
func quantile(x []float64, p float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	sorted := slices.Sorted(slices.Values(x))
	return sorted[int(p*float64(len(sorted)-1)+0.5)]
}
