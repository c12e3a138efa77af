package synthetic

import (
	"math"
	"math/rand/v2"
)

// Samples is what the device wrote down: one row a sample, NaN where a
// channel had nothing. Times are whole seconds from the first sample, rising.
type Samples struct {
	Time      []int
	Value     []float64 // power, speed or heart rate, by the session's signal; nil when only positions were kept
	HeartRate []float64 // beats a minute; nil without a strap
	Altitude  []float64 // m; nil indoors
	Grade     []float64 // percent, of a treadmill; nil elsewhere
	Distance  []float64 // m along the positions; nil when a speed was written
}

// keep returns the samples for which the predicate holds.
func (s Samples) keep(wanted func(i int) bool) Samples {
	var kept Samples
	columns := func(s *Samples) []*[]float64 {
		return []*[]float64{&s.Value, &s.HeartRate, &s.Altitude, &s.Grade, &s.Distance}
	}
	from, to := columns(&s), columns(&kept)
	for i, t := range s.Time {
		if !wanted(i) {
			continue
		}
		kept.Time = append(kept.Time, t)
		for k, column := range from {
			if *column != nil {
				*to[k] = append(*to[k], (*column)[i])
			}
		}
	}
	return kept
}

// everySecond is the plainest device: one sample a second, rounded to steps
// of the given size (0 does not round).
func everySecond(values []float64, step float64) Samples {
	s := Samples{Time: make([]int, len(values)), Value: make([]float64, len(values))}
	for i, v := range values {
		s.Time[i] = i
		s.Value[i] = round(v, step)
	}
	return s
}

// round rounds to a multiple of step.
func round(v, step float64) float64 {
	if step == 0 {
		return v
	}
	return math.Round(v/step) * step
}

// sparse keeps a sample every 1 to longest seconds, at random.
func (s Samples) sparse(rng *rand.Rand, longest int) Samples {
	next := 0
	return s.keep(func(i int) bool {
		if i < next && i != len(s.Time)-1 {
			return false
		}
		next = i + 1 + rng.IntN(longest)
		return true
	})
}

// onChange keeps a sample when the value has moved by more than share of
// itself since the last one kept, and after longest seconds at the latest.
func (s Samples) onChange(share float64, longest int) Samples {
	last := 0
	return s.keep(func(i int) bool {
		moved := math.Abs(s.Value[i]-s.Value[last]) > share*math.Abs(s.Value[last])
		if i == 0 || moved || s.Time[i]-s.Time[last] >= longest || i == len(s.Time)-1 {
			last = i
			return true
		}
		return false
	})
}

// paused drops the samples of the stopped stretches. The client presses the
// button up to late seconds after the bout and before the next one.
func (s Samples) paused(rng *rand.Rand, spans [][2]float64, late float64) Samples {
	cut := make([]bool, len(s.Time))
	for _, span := range spans {
		from := int(math.Ceil(span[0] + between(rng, 0, late)))
		to := int(math.Floor(span[1] - between(rng, 0, late)))
		for i := from; i < min(to, len(cut)); i++ {
			cut[i] = true
		}
	}
	return s.keep(func(i int) bool { return !cut[i] })
}

// positioned is what a device keeps that writes positions only: the distance
// along fixes that wander slowly by drift metres and jump by jitter metres from
// one to the next, on a path that bends. It is thinned before it is measured,
// as in a file.
func positioned(rng *rand.Rand, speed []float64, drift, jitter float64, longest int) Samples {
	n := len(speed)
	wanderX := AR1{SD: drift, TimeConstant: 60}.Series(rng, n)
	wanderY := AR1{SD: drift, TimeConstant: 60}.Series(rng, n)
	bend := AR1{SD: 0.02, TimeConstant: 30}.Series(rng, n)
	x, y := make([]float64, n), make([]float64, n)
	east, north, heading := 0.0, 0.0, 0.0
	for i := range speed {
		x[i] = east + wanderX[i] + jitter*rng.NormFloat64()
		y[i] = north + wanderY[i] + jitter*rng.NormFloat64()
		heading += bend[i]
		east += speed[i] * math.Sin(heading)
		north += speed[i] * math.Cos(heading)
	}
	s := everySecond(make([]float64, n), 0).sparse(rng, longest)
	s.Value, s.Distance = nil, make([]float64, len(s.Time))
	for k := 1; k < len(s.Time); k++ {
		a, b := s.Time[k-1], s.Time[k]
		s.Distance[k] = s.Distance[k-1] + math.Hypot(x[b]-x[a], y[b]-y[a])
	}
	return s
}

// strap is what a chest strap or a wrist sensor makes of a heart rate.
type strap struct {
	noise    AR1     // beats a minute
	dropouts float64 // an hour, of 3 to 60 s
	spikes   float64 // an hour, of 1 to 4 s
	dry      float64 // s at the start with nonsense, before the skin is wet
	locked   float64 // chance that it follows the steps for a minute or two
}

// wear draws a strap from good to poor.
func wear(rng *rand.Rand) strap {
	return strap{
		noise:    AR1{SD: between(rng, 0.4, 1.8), TimeConstant: between(rng, 2, 12)},
		dropouts: between(rng, 0, 4),
		spikes:   between(rng, 0, 5),
		dry:      pick(rng, 0, 0, 0, between(rng, 20, 150)),
		locked:   pick(rng, 0, 0, 0.3),
	}
}

// read returns what the strap reports, in whole beats.
func (s strap) read(rng *rand.Rand, rate []float64) []float64 {
	n := len(rate)
	out := make([]float64, n)
	for i, e := range s.noise.Series(rng, n) {
		out[i] = rate[i] + e
		if float64(i) < s.dry {
			out[i] *= between(rng, 0.7, 1.5)
		}
	}
	if chance(rng, s.locked) {
		at := rng.IntN(n)
		steps := between(rng, 155, 175)
		for i := at; i < min(n, at+60+rng.IntN(60)); i++ {
			out[i] = steps + rng.NormFloat64()
		}
	}
	for i := 0; i < n; i++ {
		if chance(rng, s.spikes/3600) {
			to := between(rng, 30, 225)
			for end := min(n, i+1+rng.IntN(4)); i < end; i++ {
				out[i] = to
			}
		} else if chance(rng, s.dropouts/3600) {
			for end := min(n, i+3+rng.IntN(58)); i < end; i++ {
				out[i] = math.NaN()
			}
		}
	}
	for i, v := range out {
		out[i] = round(v, 1)
	}
	return out
}
