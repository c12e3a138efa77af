package metrics

import "math"

// AppendTrace gives one trace of a workout that was recorded in two parts: a,
// the time in between, in which nothing was recorded, and b. What b has before
// a's end, as clocks that differ may give, is left out. A channel that only one
// part has is missing in the other. A distance that b begins anew goes on from
// where a ended. Neither input is modified.
func AppendTrace(a, b *Trace) Trace {
	at := int(b.StartUnix - a.StartUnix)
	skip := max(0, a.N-at)
	if skip >= b.N {
		return *a
	}
	at += skip
	whole := Trace{StartUnix: a.StartUnix, N: at + b.N - skip}
	for _, spec := range ChannelSpecs {
		first, second := *spec.Column(&a.Channels), *spec.Column(&b.Channels)
		if first == nil && second == nil {
			continue
		}
		if spec.Name == "distance" {
			second = onwards(second, first)
		}
		column := make([]float64, whole.N)
		for i := range column {
			column[i] = math.NaN()
		}
		copy(column, first)
		if second != nil {
			copy(column[at:], second[skip:])
		}
		*spec.Column(&whole.Channels) = column
	}
	both := func(first, second []bool) []bool {
		mask := make([]bool, whole.N)
		copy(mask, first)
		copy(mask[at:], second[skip:])
		return mask
	}
	whole.Observed, whole.Recorded = both(a.Observed, b.Observed), both(a.Recorded, b.Recorded)
	return whole
}

// onwards makes a distance go on from the end of the one before it, unless it
// does so already.
func onwards(distance, before []float64) []float64 {
	ended, begins := nearest(before, len(before)-1), nearest(distance, 0)
	if math.IsNaN(ended) || math.IsNaN(begins) || begins >= ended {
		return distance
	}
	return quantise(shifted(distance, ended-begins), 10)
}
