package synthetic

import (
	"math"
	"math/rand/v2"
)

// terrain is the ground of an outdoor session second by second.
type terrain struct {
	altitude []float64 // m
	grade    []float64 // share, rise over run
}

// hills makes n seconds of ground whose grade wanders with the given standard
// deviation (a share) and time constant (s) at a ground speed in m/s. Climbs
// and descents of the wanted length come of a second-order wander: noise that
// is smoothed twice has no sudden change of grade.
func hills(rng *rand.Rand, n int, sd, timeConstant, speed float64) terrain {
	grade := AR1{SD: sd, TimeConstant: timeConstant}.Series(rng, n)
	smooth := math.Exp(-1 / (timeConstant / 4))
	level := grade[0]
	height := between(rng, 5, 800)
	t := terrain{altitude: make([]float64, n), grade: grade}
	for i := range grade {
		level = smooth*level + (1-smooth)*grade[i]
		grade[i] = level
		height += level * speed
		t.altitude[i] = height
	}
	return t
}

// rider is how an outdoor client's output strays from the plan.
type rider struct {
	fast, slow AR1     // as shares of the output
	perGrade   float64 // change of output as a share, for one percent of grade, when riding easily
	held       float64 // how much of that remains within a bout, 0 to 1
	coasts     float64 // coasting stretches an hour
	coastMax   float64 // s
}

// road draws how a client rides: how unevenly, and how much hills matter. In
// the held efforts of two real rides (the outdoor files that the accuracy
// command's test reads) single seconds vary by 14 to 27 % and half-minute
// means by 5 to 14 %; what is drawn here is rougher, near 25 to 50 % and 9 to
// 17 %.
func road(rng *rand.Rand) rider {
	return rider{
		fast:     AR1{SD: between(rng, 0.18, 0.36), TimeConstant: between(rng, 1, 3)},
		slow:     AR1{SD: between(rng, 0.03, 0.09), TimeConstant: between(rng, 15, 60)},
		perGrade: between(rng, 0.03, 0.10),
		held:     between(rng, 0.1, 0.5),
		coasts:   between(rng, 5, 60),
		coastMax: 12,
	}
}

// ride turns a planned output into a ridden one: hills, unevenness, and
// seconds of coasting at zero. Within bouts the client minds the plan more
// and the hills less, and coasts less.
func (r rider) ride(rng *rand.Rand, planned []float64, inBout []bool, ground terrain) []float64 {
	n := len(planned)
	fast, slow := r.fast.Series(rng, n), r.slow.Series(rng, n)
	out := make([]float64, n)
	for i, level := range planned {
		hill := r.perGrade * 100 * ground.grade[i]
		if inBout[i] {
			hill *= r.held
		}
		out[i] = max(0, level*max(0, 1+hill)*(1+fast[i]+slow[i]))
	}
	for i := 0; i < n; i++ {
		rate := r.coasts / 3600
		if inBout[i] {
			rate /= 2
		}
		// Steep descents are coasted down.
		if ground.grade[i] < -0.03 {
			rate *= 4
		}
		if chance(rng, rate) {
			for end := min(n, i+1+rng.IntN(int(r.coastMax))); i < end; i++ {
				out[i] = 0
			}
		}
	}
	return out
}

// steady is the unevenness of a client indoors: autocorrelated, in proportion
// to the output.
func steady(rng *rand.Rand, planned []float64, noise AR1) []float64 {
	out := make([]float64, len(planned))
	for i, e := range noise.Series(rng, len(planned)) {
		out[i] = max(0, planned[i]*(1+e))
	}
	return out
}
