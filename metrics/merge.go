package metrics

import "math"

// maxLagS bounds how far, in seconds, the clocks of two devices on one
// workout are believed to differ.
const maxLagS = 120

// minLagOverlap is the least seconds that both devices must have measured the
// same quantity before their clocks can be compared.
const minLagOverlap = 120

// ClockLag is how many seconds b's clock is ahead of a's: the shift, at most
// two minutes, at which the quantities that both measured agree best (least
// mean squared difference, each quantity in units of its own spread). 0 when
// they share too little to tell.
func ClockLag(a, b *Trace) int {
	offset := int(b.StartUnix - a.StartUnix)
	lags := [2*maxLagS + 1]struct{ sum, weight float64 }{}
	for _, spec := range ChannelSpecs {
		switch spec.Name {
		case "heart_rate", "power", "speed", "altitude":
		default:
			continue
		}
		ca, cb := *spec.Column(&a.Channels), *spec.Column(&b.Channels)
		spread := variance(ca)
		if cb == nil || !(spread > 0) {
			continue
		}
		for k := range lags {
			// A second i of b is second i+offset-lag of a.
			if mse, n := meanSquare(ca, cb, offset-(k-maxLagS)); n >= minLagOverlap {
				lags[k].sum += mse / spread
				lags[k].weight++
			}
		}
	}
	best := maxLagS
	for k := range lags {
		if lags[k].weight < lags[best].weight || lags[k].weight == 0 {
			continue
		}
		if lags[k].weight > lags[best].weight || lags[k].sum < lags[best].sum {
			best = k
		}
	}
	return best - maxLagS
}

// meanSquare is the mean squared difference of b[i] and a[i+shift] over the n
// seconds in which both are valid.
func meanSquare(a, b []float64, shift int) (mse float64, n int) {
	sum := 0.0
	for i := max(0, -shift); i < len(b) && i+shift < len(a); i++ {
		d := b[i] - a[i+shift]
		if !math.IsNaN(d) {
			sum += d * d
			n++
		}
	}
	return sum / float64(n), n
}

func variance(col []float64) float64 {
	sum, square, n := 0.0, 0.0, 0.0
	for _, v := range col {
		if !math.IsNaN(v) {
			sum += v
			square += v * v
			n++
		}
	}
	return square/n - (sum/n)*(sum/n)
}

// MergeTraces gives one trace of one workout that two devices recorded: on
// a's clock, over a's time, with each channel from the device that measured
// it for longer; a when even. lag is how many seconds b's clock is ahead.
// fromB names the channels that b gave. Neither input is modified.
func MergeTraces(a, b *Trace, lag int) (merged Trace, fromB []string) {
	merged = *a
	shift := int(b.StartUnix-a.StartUnix) - lag
	for _, spec := range ChannelSpecs {
		ca, cb := *spec.Column(&a.Channels), *spec.Column(&b.Channels)
		if cb == nil {
			continue
		}
		moved := make([]float64, a.N)
		for i := range moved {
			moved[i] = math.NaN()
			if k := i - shift; k >= 0 && k < len(cb) {
				moved[i] = cb[k]
			}
		}
		if countValid(moved) > countValid(ca) {
			*spec.Column(&merged.Channels) = moved
			fromB = append(fromB, spec.Name)
		}
	}
	return merged, fromB
}
