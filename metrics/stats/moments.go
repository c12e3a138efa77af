package stats

import (
	"math"
	"slices"
)

// Mean is the arithmetic mean of the values that are not NaN; NaN when there
// is none.
//
// It is taken in two passes: the second adds the mean residual that rounding
// left behind, which matters for long columns far from zero (NIST's NumAcc4).
// gonum's mean makes one pass and does not skip missing values.
func Mean(x []float64) float64 {
	mean, _, _ := moments(x)
	return mean
}

// SampleSD is the standard deviation with divisor n − 1 of the values that are
// not NaN; NaN with fewer than two.
func SampleSD(x []float64) float64 {
	_, squares, n := moments(x)
	if n < 2 {
		return math.NaN()
	}
	return math.Sqrt(squares / float64(n-1))
}

// moments gives the mean, the sum of squared residuals about it, and the
// number of values that are not NaN.
func moments(x []float64) (mean, squares float64, n int) {
	sum := 0.0
	for _, v := range x {
		if !math.IsNaN(v) {
			sum += v
			n++
		}
	}
	if n == 0 {
		return math.NaN(), math.NaN(), 0
	}
	rough := sum / float64(n)

	// The residuals about a rounded mean do not quite sum to zero. What is left
	// corrects the mean and the squares (Chan, Golub and LeVeque, The American
	// Statistician 1983;37:242–247).
	rest := 0.0
	for _, v := range x {
		if !math.IsNaN(v) {
			d := v - rough
			rest += d
			squares += d * d
		}
	}
	mean = rough + rest/float64(n)
	squares -= rest * rest / float64(n)
	return mean, max(squares, 0), n
}

// Median is the middle value, or the mean of the two middle ones, of the
// values that are not NaN; NaN when there is none.
func Median(x []float64) float64 { return Quantile(x, 0.5) }

// Quantile is the p-th quantile, 0 ≤ p ≤ 1, of the values that are not NaN: a
// straight line between order statistics at position p·(n − 1). That is
// type 7 of Hyndman and Fan (The American Statistician 1996;50:361–365), the
// default of NumPy, SciPy and R. It is NaN without values or with p outside
// its range.
func Quantile(x []float64, p float64) float64 {
	sorted := valid(x)
	slices.Sort(sorted)
	return quantileSorted(sorted, p)
}

// quantileSorted is [Quantile] of values already sorted and free of NaN.
func quantileSorted(sorted []float64, p float64) float64 {
	n := len(sorted)
	if n == 0 || !(p >= 0 && p <= 1) {
		return math.NaN()
	}
	position := p * float64(n-1)
	below := int(position)
	part := position - float64(below)
	// On an order statistic the next one must not matter: it may be infinite,
	// or not exist.
	if part == 0 {
		return sorted[below]
	}
	return sorted[below] + part*(sorted[below+1]-sorted[below])
}

// valid copies the values that are not NaN.
func valid(x []float64) []float64 {
	kept := make([]float64, 0, len(x))
	for _, v := range x {
		if !math.IsNaN(v) {
			kept = append(kept, v)
		}
	}
	return kept
}

// validPairs copies the pairs of which neither value is NaN.
func validPairs(x, y []float64) (xs, ys []float64) {
	if len(x) != len(y) {
		panic("stats: columns of different length")
	}
	xs = make([]float64, 0, len(x))
	ys = make([]float64, 0, len(y))
	for i := range x {
		if !math.IsNaN(x[i]) && !math.IsNaN(y[i]) {
			xs = append(xs, x[i])
			ys = append(ys, y[i])
		}
	}
	return xs, ys
}
