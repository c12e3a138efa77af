package synthetic

import "math"

// DriftOnset is when cardiovascular drift begins, in seconds: from about ten
// minutes of steady exercise on (Coyle and González-Alonso 2001).
const DriftOnset = 600.0

// Kinetics is a first-order model of how heart rate follows demand. The
// demand is the rate that would be reached in the end if the output stayed as
// it is, in beats a minute; after the delay, heart rate closes on it
// exponentially:
//
//	dh/dt = (demand(t - Delay) - h) / tau
//
// with one time constant for rising and one for falling. Typical values for
// adults are 30 to 60 s for both (44 to 41 s in men of 30 to 80 years, Med Sci
// Sports Exerc 1994, PMID 8201899), with recovery slower in the unfit.
type Kinetics struct {
	TauOn  float64 // s, time constant while rising
	TauOff float64 // s, time constant while falling
	Delay  float64 // s, before any response

	// DriftPerHour is the cardiovascular drift in beats a minute per hour,
	// added from [DriftOnset] on.
	DriftPerHour float64
}

// Response returns heart rate in beats a minute at 1 Hz for a demand at 1 Hz,
// in beats a minute, starting from start. The demand is held constant within
// each second, for which the exponential step is exact. A time constant of 0
// or less follows the demand at once. The demand must hold no NaN.
func (k Kinetics) Response(demand []float64, start float64) []float64 {
	rate := make([]float64, len(demand))
	rise, fall := approach(k.TauOn), approach(k.TauOff)
	h := start
	for i := range demand {
		// The delayed demand, linear between two seconds so that delays need
		// not be whole.
		d := delayed(demand, float64(i)-k.Delay, start)
		if d > h {
			h += (d - h) * rise
		} else {
			h += (d - h) * fall
		}
		rate[i] = h + k.drift(float64(i))
	}
	return rate
}

// drift is what has been added to heart rate by second t.
func (k Kinetics) drift(t float64) float64 {
	return k.DriftPerHour * max(0, t-DriftOnset) / 3600
}

// approach is the share of the distance covered in one second.
func approach(tau float64) float64 {
	if tau <= 0 {
		return 1
	}
	return 1 - math.Exp(-1/tau)
}

// delayed reads demand at a fractional second; before the session it is the
// starting value.
func delayed(demand []float64, at, start float64) float64 {
	if at < 0 {
		return start
	}
	i := int(at)
	if i+1 >= len(demand) {
		return demand[len(demand)-1]
	}
	f := at - float64(i)
	return demand[i]*(1-f) + demand[i+1]*f
}
