package stats

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// maxTheilSen is the number of points up to which every pair enters a
// Theil–Sen line. The pairs grow with the square: 2,000 points make two
// million slopes, 16 MB and a fraction of a second to sort. A longer column is
// thinned to that many points at even steps, first and last kept.
const maxTheilSen = 2000

// Line is a Theil–Sen line.
type Line struct {
	Slope     float64 // median of the slopes between all pairs of points
	Intercept float64 // median(y) − Slope·median(x), as SciPy's default has it
	Low, High float64 // confidence interval of the slope
	N         int     // points used
}

// TheilSen fits the line whose slope is the median of the slopes between all
// pairs of points with different x (Theil 1950; Sen PK, J Am Stat Assoc
// 1968;63:1379–1389). The interval at the given confidence, 0.95 say, is
// Sen's: order statistics of the slopes as far from the ends as the normal
// approximation of Kendall's score says, ties in x and y counted. Points with
// a NaN are left out; with no pair left all figures are NaN. A confidence that
// is not between 0 and 1, NaN say, leaves the interval out.
func TheilSen(x, y []float64, confidence float64) Line {
	xs, ys := validPairs(x, y)
	xs, ys = thin(xs, maxTheilSen), thin(ys, maxTheilSen)
	line := Line{Slope: math.NaN(), Intercept: math.NaN(), Low: math.NaN(), High: math.NaN(), N: len(xs)}

	slopes := pairSlopes(xs, ys)
	if len(slopes) == 0 {
		return line
	}
	slices.Sort(slopes)
	line.Slope = quantileSorted(slopes, 0.5)
	line.Intercept = Median(ys) - line.Slope*Median(xs)

	if !(confidence > 0 && confidence < 1) {
		return line
	}
	// Sen's equation 2.6, with the rounding that SciPy uses. Too few points put
	// the ranks beyond the ends: the interval is then the slopes' whole range,
	// which is narrower than asked.
	spread := distuv.UnitNormal.Quantile(0.5+confidence/2) * math.Sqrt(max(scoreVariance(xs, ys), 0))
	count := float64(len(slopes))
	low := int(math.RoundToEven((count-spread)/2)) - 1
	high := int(math.RoundToEven((count + spread) / 2))
	line.Low = slopes[max(low, 0)]
	line.High = slopes[min(high, len(slopes)-1)]
	return line
}

// pairSlopes lists the slopes between all pairs with different x.
func pairSlopes(x, y []float64) []float64 {
	slopes := make([]float64, 0, len(x)*(len(x)-1)/2)
	for i := range x {
		for j := i + 1; j < len(x); j++ {
			if x[i] != x[j] {
				slopes = append(slopes, (y[j]-y[i])/(x[j]-x[i]))
			}
		}
	}
	return slopes
}

// scoreVariance is the variance of Kendall's score in Sen's approximation:
// one eighteenth of n(n−1)(2n+5), less the same for each group of ties. Many
// ties in both columns make it negative; see [kendallVariance] for what is
// missing then.
func scoreVariance(x, y []float64) float64 {
	weight := func(k float64) float64 { return k * (k - 1) * (2*k + 5) }
	sum := weight(float64(len(x)))
	for _, column := range [][]float64{x, y} {
		for _, size := range tieSizes(column) {
			sum -= weight(float64(size))
		}
	}
	return sum / 18
}

// tieSizes lists the sizes of the groups of equal values, groups of one left
// out.
func tieSizes(x []float64) []int {
	sorted := slices.Clone(x)
	slices.Sort(sorted)
	var sizes []int
	for start := 0; start < len(sorted); {
		end := start + 1
		for end < len(sorted) && sorted[end] == sorted[start] {
			end++
		}
		if end-start > 1 {
			sizes = append(sizes, end-start)
		}
		start = end
	}
	return sizes
}

// thin keeps at most limit values at even steps, first and last among them.
func thin(x []float64, limit int) []float64 {
	if len(x) <= limit {
		return x
	}
	kept := make([]float64, limit)
	for i := range kept {
		kept[i] = x[i*(len(x)-1)/(limit-1)]
	}
	return kept
}
