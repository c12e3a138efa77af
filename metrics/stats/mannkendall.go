package stats

import (
	"math"
	"slices"
)

// Kendall is the outcome of a Mann–Kendall test.
type Kendall struct {
	S        int     // later values that are higher, less those that are lower
	Variance float64 // of S without a trend, ties counted
	Z        float64 // S less one unit of continuity towards zero, over its SD
	P        float64 // two-sided probability of so large a |Z| without a trend
	Tau      float64 // S over the number of pairs (tau-a)
	N        int     // values used
}

// MannKendall tests values in the order of time for a monotone trend (Mann HB,
// Econometrica 1945;13:245–259; Kendall 1975). Values that are NaN are left
// out. Z and P rest on the normal approximation, which is fair from about ten
// values and, with the continuity correction, errs on the side of no trend
// below. With fewer than three values, or all equal, Z and P are NaN.
//
// Values must be independent: a column sampled every second is not. Test
// sessions, weeks or block means.
//
// [Trend], which has times of its own, makes the same test; this form of it is
// the one that reference libraries have, and is compared with them by
// scripts/crosscheck.
func MannKendall(y []float64) Kendall {
	order := make([]float64, len(y))
	for i := range order {
		order[i] = float64(i)
	}
	return kendall(validPairs(order, y))
}

// kendall scores every pair of points: +1 where y rises with x, −1 where it
// falls, 0 on a tie in either. x need not be sorted.
func kendall(x, y []float64) Kendall {
	n := len(x)
	result := Kendall{N: n, Variance: math.NaN(), Z: math.NaN(), P: math.NaN(), Tau: math.NaN()}
	for i := range x {
		for j := i + 1; j < n; j++ {
			result.S += sign(x[j]-x[i]) * sign(y[j]-y[i])
		}
	}
	if n < 2 {
		return result
	}
	result.Tau = float64(result.S) / float64(n*(n-1)/2)
	if n < 3 {
		return result
	}

	result.Variance = kendallVariance(x, y)
	if result.Variance > 0 {
		step := float64(result.S - sign(float64(result.S)))
		result.Z = step / math.Sqrt(result.Variance)
		result.P = math.Erfc(math.Abs(result.Z) / math.Sqrt2)
	}
	return result
}

// kendallVariance is the variance of the score without a trend. Without ties
// in x it is [scoreVariance]; ties in both columns add two terms (Kendall MG,
// Rank Correlation Methods, from memory; SciPy's kendalltau computes the same).
func kendallVariance(x, y []float64) float64 {
	// Without a change there is no score: rounding must not make it vary.
	if slices.Min(x) == slices.Max(x) || slices.Min(y) == slices.Max(y) {
		return 0
	}
	n := float64(len(x))
	pairs := func(k float64) float64 { return k * (k - 1) }
	triples := func(k float64) float64 { return k * (k - 1) * (k - 2) }
	sum := func(column []float64, of func(float64) float64) float64 {
		total := 0.0
		for _, size := range tieSizes(column) {
			total += of(float64(size))
		}
		return total
	}
	variance := scoreVariance(x, y)
	variance += sum(x, pairs) * sum(y, pairs) / (2 * pairs(n))
	variance += sum(x, triples) * sum(y, triples) / (9 * triples(n))
	return variance
}

// sign is −1, 0 or 1.
func sign(v float64) int {
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0
}
