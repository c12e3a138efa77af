package metrics

import (
	"math"

	"boutwise/metrics/stats"
)

const (
	// driftWarmUp is left out at the start of a base session, in seconds:
	// cardiovascular drift sets in after about 10 minutes (Coyle EF,
	// González-Alonso J, Exerc Sport Sci Rev 2001;29:88–92).
	driftWarmUp = 600

	// driftMinHalf is the least that each half must be measured, in seconds.
	// Heart rate takes two minutes to follow a change of output; below five
	// minutes a hill or a traffic light decides the figure. Common practice,
	// no source.
	driftMinHalf = 300
)

// HRDrift is how much dearer in heart rate a unit of output became in a
// continuous stretch of easy work: heart rate per unit output in the second
// half over that in the first, less one, in percent. The first 10 minutes are
// excluded. It belongs to base sessions; for one with bursts near the end give
// the stretch before the first burst.
//
// Each half's figure is its mean heart rate over its mean output, both from
// the seconds that have both. NaN unless each half has 5 minutes of those, and
// they make up half of it: a whole session of 20 minutes at least.
func HRDrift(hr, output []float64, session Stretch) float64 {
	start := session.Start + driftWarmUp
	middle := (start + session.End) / 2
	first := hrPerOutput(hr, output, Stretch{start, middle})
	second := hrPerOutput(hr, output, Stretch{middle, session.End})
	return percentOf(second-first, first)
}

// hrPerOutput is the mean heart rate over the mean output in the seconds that
// have both; NaN when these are too few.
func hrPerOutput(hr, output []float64, half Stretch) float64 {
	low, high := half.seconds(min(len(hr), len(output)))
	var beats, work []float64
	for i := low; i < high; i++ {
		if !math.IsNaN(hr[i]) && !math.IsNaN(output[i]) {
			beats = append(beats, hr[i])
			work = append(work, output[i])
		}
	}
	if len(beats) < driftMinHalf || 2*len(beats) < high-low {
		return math.NaN()
	}
	mean := stats.Mean(work)
	if !(mean > 0) {
		return math.NaN()
	}
	return stats.Mean(beats) / mean
}
