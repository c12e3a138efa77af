package stats

// Direction says in words what a trend does.
type Direction string

// The directions of a trend.
const (
	Rising  Direction = "rising"
	Falling Direction = "falling"
	NoTrend Direction = "no clear trend"
)

// MinTrend is the fewest points that are given a direction. Four values in
// perfect order happen by chance one time in twelve, which is no evidence at
// any usual level; five happen one time in sixty.
const MinTrend = 5

// TrendResult is a trend with the evidence for it.
type TrendResult struct {
	Direction Direction
	Line      Line    // the Theil–Sen line, its interval at confidence 1 − alpha
	Test      Kendall // the Mann–Kendall test
}

// Trend tells whether y rises or falls with x: a direction only where the
// Mann–Kendall test rejects "no trend" at level alpha (0.05 say, two-sided)
// and the Theil–Sen slope has a sign. Points need no order; those with a NaN
// are left out; equal x are ties, which say nothing either way.
func Trend(x, y []float64, alpha float64) TrendResult {
	xs, ys := validPairs(x, y)
	result := TrendResult{
		Direction: NoTrend,
		Line:      TheilSen(xs, ys, 1-alpha),
		Test:      kendall(xs, ys),
	}
	// A missing P compares false.
	if len(xs) < MinTrend || !(result.Test.P < alpha) {
		return result
	}
	switch {
	case result.Test.S > 0 && result.Line.Slope > 0:
		result.Direction = Rising
	case result.Test.S < 0 && result.Line.Slope < 0:
		result.Direction = Falling
	}
	return result
}
