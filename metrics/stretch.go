package metrics

import (
	"math"

	"boutwise/metrics/stats"
)

// Stretch is a part of a session, in seconds from its first sample: the
// half-open interval [Start, End). Boundaries may be fractional; where whole
// seconds of a column are needed each boundary is rounded to the nearest (half
// away from zero), and what lies outside the column is cut off.
type Stretch struct {
	Start, End float64
}

// Duration is the stretch's length in seconds, unrounded.
func (s Stretch) Duration() float64 { return s.End - s.Start }

// Of is the part of a column, one value a second, that the stretch covers. It
// shares memory with the column.
func (s Stretch) Of(column []float64) []float64 {
	low, high := s.seconds(len(column))
	return column[low:high]
}

// Mean is the mean of the column's values in the stretch; NaN when there is
// none.
func (s Stretch) Mean(column []float64) float64 { return stats.Mean(s.Of(column)) }

// Peak is the largest of the column's values in the stretch; NaN when there is
// none.
func (s Stretch) Peak(column []float64) float64 {
	peak := math.NaN()
	for _, v := range s.Of(column) {
		if math.IsNaN(peak) || v > peak {
			peak = v
		}
	}
	return peak
}

// seconds is the range of whole seconds [low, high) in a column of n.
func (s Stretch) seconds(n int) (low, high int) {
	low = clampSecond(s.Start, n)
	return low, max(low, clampSecond(s.End, n))
}

// clampSecond rounds to the nearest second of 0 to n; NaN gives n, so that a
// stretch without a start is empty.
func clampSecond(second float64, n int) int {
	// Compare before converting: a float beyond int's range converts to
	// anything.
	switch rounded := math.Round(second); {
	case rounded <= 0:
		return 0
	case rounded < float64(n):
		return int(rounded)
	}
	return n
}

// meanOfHalf is the mean of the values if at least half of them are valid,
// NaN otherwise: a mean that rests on a handful of seconds stands for them, not
// for the stretch.
func meanOfHalf(values []float64) float64 {
	valid := countValid(values)
	if valid == 0 || 2*valid < len(values) {
		return math.NaN()
	}
	return stats.Mean(values)
}

// countValid is the number of values that are not NaN.
func countValid(values []float64) int {
	valid := 0
	for _, v := range values {
		if !math.IsNaN(v) {
			valid++
		}
	}
	return valid
}
