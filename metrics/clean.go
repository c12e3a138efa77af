package metrics

import (
	"math"
	"slices"
)

// maxSpikeS is the longest, in seconds, that a spike lasts. Longer departures
// may be real.
const maxSpikeS = 4

// frozenHeartRateS is how long, in seconds, a heart rate may stand still to
// the beat before the sensor is taken to be frozen. A living rate wanders by
// a beat or two within any minute; common practice, no source.
const frozenHeartRateS = 180

// frozenPowerS is how long, in seconds, a power above zero may stand still
// while the cadence is measured as zero.
const frozenPowerS = 10

// cleanColumns makes impossible values, spikes and frozen stretches missing,
// and a distance that begins anew go on, on copies of the columns. Times must
// not decrease.
func cleanColumns(in Columns, onFoot bool) (Columns, map[string]ChannelRepairs) {
	out := Columns{TimeMS: in.TimeMS}
	repairs := map[string]ChannelRepairs{}
	for _, spec := range ChannelSpecs {
		col := *spec.Column(&in.Channels)
		if col == nil {
			continue
		}
		clean := append([]float64(nil), col...)
		high := spec.High
		if spec.Name == "speed" {
			high = topSpeed(onFoot)
		}
		r := ChannelRepairs{Seen: countValid(clean), Impossible: dropImpossible(clean, spec.Low, high)}
		if spec.Spike > 0 {
			r.Spike = dropSpikes(in.TimeMS, clean, spec.Spike)
		}
		switch spec.Name {
		case "distance":
			r.Spike = cleanDistance(in.TimeMS, clean, topSpeed(onFoot))
			// Counts that are added up may come to more than one may.
			r.Impossible += dropImpossible(clean, spec.Low, high)
		case "heart_rate":
			r.Frozen = dropFrozen(in.TimeMS, clean, nil, frozenHeartRateS)
		case "power":
			// A cadence that never turns was not measured.
			if slices.ContainsFunc(in.Cadence, func(v float64) bool { return v > 0 }) {
				r.Frozen = dropFrozen(in.TimeMS, clean, in.Cadence, frozenPowerS)
			}
		}
		if r.Seen > 0 {
			repairs[spec.Name] = r
		}
		*spec.Column(&out.Channels) = clean
	}
	return out, repairs
}

// topSpeed is the fastest that is believed, m/s.
func topSpeed(onFoot bool) float64 {
	if onFoot {
		return maxFootSpeed
	}
	return maxSpeed
}

// dropImpossible makes values outside [low, high] missing and counts them.
func dropImpossible(col []float64, low, high float64) int {
	n := 0
	for i, v := range col {
		if v < low || v > high {
			col[i] = math.NaN()
			n++
		}
	}
	return n
}

// dropSpikes makes a departure missing that jumps by more than jump, and back
// by more than jump the same way, within maxSpikeS.
func dropSpikes(timeMS []int64, col []float64, jump float64) int {
	n, before := 0, -1
	for i := 0; i < len(col); i++ {
		if math.IsNaN(col[i]) {
			continue
		}
		if before >= 0 && math.Abs(col[i]-col[before]) > jump {
			if end := spikeEnd(timeMS, col, before, i, jump); end > i {
				for k := i; k < end; k++ {
					if !math.IsNaN(col[k]) {
						col[k] = math.NaN()
						n++
					}
				}
				i = end
			}
		}
		before = i
	}
	return n
}

// spikeEnd is the index of the sample where the departure that begins at i
// has come back, or 0 when it does not come back in time.
func spikeEnd(timeMS []int64, col []float64, before, i int, jump float64) int {
	up := col[i] > col[before]
	peak := col[i]
	for k := i + 1; k < len(col); k++ {
		if timeMS[k]-timeMS[before] > (maxSpikeS+1)*1000 {
			return 0
		}
		v := col[k]
		if math.IsNaN(v) {
			continue
		}
		if up && peak-v > jump || !up && v-peak > jump {
			return k
		}
		if up {
			peak = math.Max(peak, v)
		} else {
			peak = math.Min(peak, v)
		}
	}
	return 0
}

// dropFrozen makes runs of one unchanging value above zero missing that last
// at least minS seconds. With a witness column, only while it reads zero.
// Samples without a value do not end a run that goes on within MaxBridge.
func dropFrozen(timeMS []int64, col, witness []float64, minS int64) int {
	still := func(i int) bool { return witness == nil || witness[i] == 0 }
	n := 0
	for i := 0; i < len(col); {
		if !(col[i] > 0) || !still(i) {
			i++
			continue
		}
		last, length := i, 1
		for k := i + 1; k < len(col) && timeMS[k]-timeMS[last] <= MaxBridge*1000; k++ {
			if math.IsNaN(col[k]) {
				continue
			}
			if col[k] != col[i] || !still(k) {
				break
			}
			last = k
			length++
		}
		if timeMS[last]-timeMS[i] >= minS*1000 {
			for k := i; k <= last; k++ {
				col[k] = math.NaN()
			}
			n += length
		}
		i = last + 1
	}
	return n
}
