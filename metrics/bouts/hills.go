package bouts

import "math"

// On a hilly ride the climbs are ridden harder than the rest, and a few of
// them are always alike. What tells them from a set is the ground: the bouts
// go up, the rests do not, and no two of them start at the same height. The
// same hill climbed again and again is a set, for all that it goes up.

const (
	// How much faster the bouts must climb than the rests, in standard
	// deviations of the session's rate of climb over half a minute.
	levelRide, climbingRide = 0.6, 1.3

	// Spread of the heights that the bouts start from, over their mean gain.
	sameHill, otherHill = 0.35, 0.8
)

// climbing tells how far a chain is explained by the ground, 0 to 1; 0 when
// the altitude is unknown.
func (fd *finder) climbing(c chain) float64 {
	if fd.altitude == nil || len(c.members) < 2 {
		return 0
	}
	spread := fd.climbSpread()
	if !(spread > 0) {
		return 0
	}
	up, upSeconds, gain := 0.0, 0.0, 0.0
	var starts []float64
	for _, k := range c.members {
		m := fd.all[k]
		if rise, ok := fd.rise(m.a, m.b); ok {
			up += rise
			upSeconds += m.seconds
			gain += math.Max(rise, 0)
			starts = append(starts, fd.height(m.a))
		}
	}
	first, last := fd.all[c.members[0]], fd.all[c.members[len(c.members)-1]]
	whole, ok := fd.rise(first.a, last.b)
	restSeconds := float64((last.b-first.a)*fd.size) - upSeconds
	if !ok || len(starts) < 2 || restSeconds <= 0 || gain <= 0 {
		return 0
	}
	faster := (up/upSeconds - (whole-up)/restSeconds) / spread
	apart := deviation(starts) / (gain / float64(len(starts)))
	return pass(faster, levelRide, climbingRide) * pass(apart, sameHill, otherHill)
}

// height is the altitude at a block, NaN when unknown.
func (fd *finder) height(block int) float64 {
	return fd.altitude[min(len(fd.altitude)-1, block*fd.size)]
}

// rise is the gain of height over blocks [a, b).
func (fd *finder) rise(a, b int) (float64, bool) {
	d := fd.height(b) - fd.height(a)
	return d, !math.IsNaN(d)
}

// climbSpread is the standard deviation of the rate of climb over half
// minutes, in m/s.
func (fd *finder) climbSpread() float64 {
	const piece = 30
	var rates []float64
	for a := 0; (a+piece/fd.size)*fd.size < len(fd.altitude); a += piece / fd.size {
		if d, ok := fd.rise(a, a+piece/fd.size); ok {
			rates = append(rates, d/piece)
		}
	}
	if len(rates) < 2 {
		return 0
	}
	return deviation(rates)
}

// deviation is the standard deviation of a sample.
func deviation(x []float64) float64 {
	mean, square := 0.0, 0.0
	for _, v := range x {
		mean += v / float64(len(x))
	}
	for _, v := range x {
		square += (v - mean) * (v - mean)
	}
	return math.Sqrt(square / float64(len(x)))
}
