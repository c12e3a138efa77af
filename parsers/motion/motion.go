// Package motion derives speed and distance from where a device was and when,
// for exports that do not carry them.
package motion

import (
	"math"

	"boutwise/parsers/recording"
)

// EarthRadiusM is the mean radius of the Earth (2a + b)/3 of WGS 84, in metres.
const EarthRadiusM = 6371008.8

// Haversine is the great-circle distance in metres between two positions in
// degrees, on a sphere of [EarthRadiusM]. Over the few metres between two
// samples it is within 0.3 % of the distance on the ellipsoid. NaN in, NaN out.
func Haversine(lat1, lon1, lat2, lon2 float64) float64 {
	const rad = math.Pi / 180
	sinLat := math.Sin((lat2 - lat1) * rad / 2)
	sinLon := math.Sin((lon2 - lon1) * rad / 2)
	h := sinLat*sinLat + math.Cos(lat1*rad)*math.Cos(lat2*rad)*sinLon*sinLon
	// Rounding can push h over 1 for antipodes.
	return 2 * EarthRadiusM * math.Asin(math.Sqrt(math.Min(h, 1)))
}

// reachMS is how far to either side of a sample its speed is measured. A
// difference over 2 + 2 s, centred, divides the noise of single fixes by four
// against neighbouring ones at 1 Hz and turns a step into a ramp of 4 s whose
// middle stands at the step: edges move nowhere. A longer reach would blur
// bursts, a shorter one lets the noise of fixes (some decimetres) through.
// Common practice, no source.
const reachMS = 2000

// breakMS is the longest step that is bridged. Beyond it a device paused or
// lost its fix, and nothing is known of the speed between. It is the longest
// gap that the trace bridges too.
const breakMS = 10_000

// Complete fills in what the samples lack: distance from positions, and speed
// from positions, or from distance where they tell less. A channel that the
// export carries in any sample is left alone. starts holds the index of every
// sample that begins a new stretch after a pause; no difference is taken across
// one.
func Complete(s *recording.Samples, starts []int) {
	var between func(i, j int) float64
	if s.Distance != nil {
		dist := s.Distance
		between = func(i, j int) float64 { return dist[j] - dist[i] }
	}
	if s.Position != nil {
		lat, lon := s.Position.Latitude, s.Position.Longitude
		apart := func(i, j int) float64 { return Haversine(lat[i], lon[i], lat[j], lon[j]) }
		if between == nil || !tellsLess(len(s.TimeMS), starts, apart, between) {
			between = apart
		}
	}
	if between == nil {
		return
	}
	if s.Speed == nil {
		s.Speed = Speed(s.TimeMS, starts, between)
	}
	if s.Distance == nil {
		s.Distance = cumulate(len(s.TimeMS), starts, between)
	}
}

// tellsLess tells positions that are not to be believed beside the device's own
// distance: indoors they stand still or come from before the door, while wheel
// or foot pod count on. They cover less than nine tenths of the samples with a
// distance, or make less than half the way. Common practice, no source.
func tellsLess(n int, starts []int, apart, between func(i, j int) float64) bool {
	placed, counted := 0, 0
	for i := range n {
		if !math.IsNaN(apart(i, i)) {
			placed++
		}
		if !math.IsNaN(between(i, i)) {
			counted++
		}
	}
	return 10*placed < 9*counted || 2*way(n, starts, apart) < way(n, starts, between)
}

// way is how far the samples lead in all, in metres.
func way(n int, starts []int, between func(i, j int) float64) float64 {
	furthest := 0.0
	for _, d := range cumulate(n, starts, between) {
		if d > furthest { // not missing
			furthest = d
		}
	}
	return furthest
}

// Speed is the centred difference quotient at every sample, in m/s: the
// distance from the last sample at least 2 s before to the first at least 2 s
// after, over the time between them. At the ends of a stretch it is one-sided.
// Missing where time stands still, steps back or leaps, where between gives
// NaN, and in a stretch of one sample.
//
// between gives the distance in metres from sample i to sample j; starts is as
// in [Complete].
func Speed(timeMS []int64, starts []int, between func(i, j int) float64) []float64 {
	out := make([]float64, len(timeMS))
	for from := 0; from < len(timeMS); {
		for len(starts) > 0 && starts[0] <= from {
			starts = starts[1:]
		}
		to := stretchEnd(timeMS, starts, from)
		lo, hi := from, from
		for i := from; i < to; i++ {
			for lo+1 < i && timeMS[lo+1] <= timeMS[i]-reachMS {
				lo++
			}
			for hi+1 < to && (hi <= i || timeMS[hi] < timeMS[i]+reachMS) {
				hi++
			}
			out[i] = quotient(timeMS, lo, hi, between)
		}
		from = to
	}
	return out
}

// stretchEnd gives the index after the last sample of the stretch that begins
// at from: up to a start, a leap, or a step back in time.
func stretchEnd(timeMS []int64, starts []int, from int) int {
	for i := from + 1; i < len(timeMS); i++ {
		step := timeMS[i] - timeMS[i-1]
		if step < 0 || step > breakMS || len(starts) > 0 && starts[0] == i {
			return i
		}
	}
	return len(timeMS)
}

// quotient is distance over time between two samples, or NaN.
func quotient(timeMS []int64, lo, hi int, between func(i, j int) float64) float64 {
	dt := timeMS[hi] - timeMS[lo]
	v := between(lo, hi) / (float64(dt) / 1000)
	// A distance that steps back was reset: no speed.
	if dt <= 0 || v < 0 || math.IsInf(v, 0) {
		return math.NaN()
	}
	return v
}

// cumulate adds up the steps between samples, in metres from the first. A step
// into a new stretch, or to or from a sample without position, adds nothing.
func cumulate(n int, starts []int, between func(i, j int) float64) []float64 {
	out := make([]float64, n)
	total, last := 0.0, -1 // last: the stretch's latest sample with a position
	for i := range out {
		if len(starts) > 0 && starts[0] == i {
			starts, last = starts[1:], -1
		}
		if math.IsNaN(between(i, i)) {
			out[i] = math.NaN()
			continue
		}
		if last >= 0 {
			total += between(last, i)
		}
		out[i], last = total, i
	}
	return out
}
