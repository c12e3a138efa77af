package bouts

import "math"

// On a hilly ride the climbs are ridden harder than the rest, and a few of
// them are always alike. What tells them from a set is the ground: the bouts
// go up, the rests do not, and no two of them start at the same height, or go
// up as far. The same hill climbed again and again is a set, for all that it
// goes up.

const (
	// How much faster the bouts must climb than the rests, in standard
	// deviations of the session's rate of climb over half a minute.
	levelRide, climbingRide = 0.6, 1.3

	// Spread of the heights that the bouts start from, or gainWeight times that
	// of their gains, over their mean gain.
	sameHill, otherHill = 0.35, 0.8
	gainWeight          = 2.0
)

// climbing tells how far a chain is explained by the ground, 0 to 1; 0 when
// the altitude is unknown.
func (fd *finder) climbing(c chain) float64 {
	first, last := fd.all[c.members[0]], fd.all[c.members[len(c.members)-1]]
	ground := fd.groundOf(c.members, first.a, last.b)
	if len(ground.gains) < 2 {
		return 0
	}
	mean := 0.0
	for _, gain := range ground.gains {
		mean += max(0, gain) / float64(len(ground.gains))
	}
	if mean == 0 {
		return 0
	}
	apart := max(deviation(ground.starts), gainWeight*deviation(ground.gains)) / mean
	return pass(ground.faster, levelRide, climbingRide) * pass(apart, sameHill, otherHill)
}

// uphill tells how far efforts are climbs, of whatever hills, 0 to 1.
func (fd *finder) uphill(members []int) float64 {
	return pass(fd.groundOf(members, 0, fd.blocks.n).faster, levelRide, climbingRide)
}

// ground is what lies under some bouts.
type ground struct {
	starts, gains []float64 // m
	faster        float64   // rate of climb over that of the rests, in its standard deviations
}

// groundOf looks at the ground under the members and between them, within
// blocks [a, b). There are no starts and gains where it is unknown.
func (fd *finder) groundOf(members []int, a, b int) ground {
	if fd.altitude == nil {
		return ground{}
	}
	var g ground
	up, upSeconds := 0.0, 0.0
	for _, k := range members {
		m := fd.all[k]
		if rise, ok := fd.rise(m.a, m.b); ok {
			up += rise
			upSeconds += m.seconds
			g.starts, g.gains = append(g.starts, fd.height(m.a)), append(g.gains, rise)
		}
	}
	spread := fd.climbSpread()
	whole, ok := fd.rise(a, b)
	restSeconds := float64((b-a)*fd.size) - upSeconds
	if !ok || !(spread > 0) || upSeconds == 0 || restSeconds <= 0 {
		return ground{}
	}
	g.faster = (up/upSeconds - (whole-up)/restSeconds) / spread
	return g
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
