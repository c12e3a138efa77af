package main

import (
	"math"

	"boutwise/metrics/bouts"
	"boutwise/metrics/synthetic"
)

// threshold is the plainest method, for comparison: wherever the 30 s moving
// mean lies above half-way between the session's 10th and 95th percentile,
// for at least 15 s, is a bout.
func threshold(_ synthetic.Session, in bouts.Input) []span {
	means := movingMean(in.Values, 30)
	low, high := quantile(means, 0.10), quantile(means, 0.95)
	limit := (low + high) / 2
	var spans []span
	for i := 0; i < len(means); i++ {
		j := i
		for j < len(means) && means[j] > limit {
			j++
		}
		if j-i >= 15 {
			spans = append(spans, span{start: float64(i), end: float64(j)})
		}
		i = max(i, j)
	}
	return spans
}

// movingMean is a centred moving mean; what is missing counts as nothing.
func movingMean(x []float64, width int) []float64 {
	sum := make([]float64, len(x)+1)
	for i, v := range x {
		if math.IsNaN(v) {
			v = 0
		}
		sum[i+1] = sum[i] + v
	}
	out := make([]float64, len(x))
	for i := range x {
		lo, hi := max(0, i-width/2), min(len(x), i+width/2)
		out[i] = (sum[hi] - sum[lo]) / float64(hi-lo)
	}
	return out
}
