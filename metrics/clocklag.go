package metrics

import (
	"math"

	"boutwise/metrics/stats"
)

// maxLagS bounds how far, in seconds, the clocks of two devices on one
// workout are believed to differ.
const maxLagS = 120

// minLagOverlap is the least seconds that both devices must have measured the
// same quantity before their clocks can be compared.
const minLagOverlap = 120

// lagSmoothS is how many seconds before and after one are averaged before two
// sensors are compared: their noise, which they do not share, would move the
// best shift by a second or more.
const lagSmoothS = 7

// ClockLag is how many seconds b's clock is ahead of a's: the shift, at most
// two minutes, at which the quantities that both measured agree best. They
// agree best where their difference varies least, so that a sensor that reads
// a constant amount too high moves nothing; each quantity counts in units of
// its own variance and for as many seconds as it is shared. 0 when they share
// too little to tell.
func ClockLag(a, b *Trace) int {
	offset := int(b.StartUnix - a.StartUnix)
	lags := [2*maxLagS + 1]struct{ sum, seconds float64 }{}
	for _, spec := range ChannelSpecs {
		switch spec.Name {
		case "heart_rate", "power", "speed", "altitude":
		default:
			continue
		}
		ca, cb := *spec.Column(&a.Channels), *spec.Column(&b.Channels)
		spread := stats.SampleSD(ca) * stats.SampleSD(ca)
		ca, cb = smoothed(ca), smoothed(cb)
		// What varies by less than its own step has no shape to align.
		if _, n := differenceVariance(ca, cb, offset); n < minLagOverlap || !(spread > 1/(spec.PerUnit*spec.PerUnit)) {
			continue
		}
		for k := range lags {
			// A second i of b is second i+offset-lag of a.
			if v, n := differenceVariance(ca, cb, offset-(k-maxLagS)); n >= minLagOverlap {
				lags[k].sum += float64(n) * v / spread
				lags[k].seconds += float64(n)
			}
		}
	}
	// Lag 0 first, so that it stays where nothing is better.
	best, least := maxLagS, math.Inf(1)
	if at := lags[maxLagS]; at.seconds > 0 {
		least = at.sum / at.seconds
	}
	for k, at := range lags {
		if score := at.sum / at.seconds; score < least {
			best, least = k, score
		}
	}
	return best - maxLagS
}

// smoothed is the mean of the valid seconds up to lagSmoothS before and after;
// a second without a value has none.
func smoothed(col []float64) []float64 {
	sums, counts := make([]float64, len(col)+1), make([]int, len(col)+1)
	for i, v := range col {
		sums[i+1], counts[i+1] = sums[i], counts[i]
		if !math.IsNaN(v) {
			sums[i+1] += v
			counts[i+1]++
		}
	}
	out := make([]float64, len(col))
	for i, v := range col {
		low, high := max(0, i-lagSmoothS), min(len(col), i+lagSmoothS+1)
		out[i] = (sums[high] - sums[low]) / float64(counts[high]-counts[low])
		if math.IsNaN(v) {
			out[i] = v
		}
	}
	return out
}

// differenceVariance is the variance of b[i] less a[i+shift] over the n
// seconds in which both are valid; NaN when n is 0.
func differenceVariance(a, b []float64, shift int) (variance float64, n int) {
	from := max(0, -shift)
	to := min(len(b), len(a)-shift)
	if to <= from {
		return math.NaN(), 0
	}
	b = b[from:to]
	a = a[from+shift : to+shift]
	sum, square := 0.0, 0.0
	for i, v := range b {
		if d := v - a[i]; !math.IsNaN(d) {
			sum += d
			square += d * d
			n++
		}
	}
	mean := sum / float64(n)
	return square/float64(n) - mean*mean, n
}
