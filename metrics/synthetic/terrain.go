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
	loose      float64 // how many times as uneven when riding easily
	perGrade   float64 // change of output as a share, for one percent of grade, when riding easily
	held       float64 // how much of that remains within a bout, 0 to 1
	coasts     float64 // coasting stretches an hour
	coastMax   float64 // s, when riding easily
}

// road draws how a client rides: how unevenly, and how much hills matter. What
// is drawn is meant to reach beyond both ends of what two real rides show (the
// outdoor files that the accuracy command's test reads): in their held efforts
// single seconds vary by 14 to 32 %, means of 10 s by 8 to 27 % and of half
// a minute by 5 to 16 %, with a correlation over 5 s of 0.05 to 0.5; outside
// the efforts nothing is put out for 10 to 25 % of the time, for up to 84 s.
func road(rng *rand.Rand) rider {
	return rider{
		fast: pick(rng,
			AR1{SD: between(rng, 0.12, 0.36), TimeConstant: between(rng, 1, 3)},
			AR1{SD: between(rng, 0.12, 0.26), TimeConstant: between(rng, 3, 8)}),
		slow:     AR1{SD: between(rng, 0.03, 0.09), TimeConstant: between(rng, 15, 60)},
		loose:    between(rng, 1, 1.8),
		perGrade: between(rng, 0.03, 0.10),
		held:     between(rng, 0.1, 0.5),
		coasts:   between(rng, 5, 80),
		coastMax: between(rng, 8, 60),
	}
}

// coastHeld is the longest that a client lets go within a bout, in seconds: a
// corner, or a descent in a bout long enough to get over it.
func coastHeld(bout float64) float64 { return max(12, bout/40) }

// settling is how long after its start a bout is not let go of, in seconds.
const settling = 15

// ride turns a planned output into a ridden one: hills, unevenness, and
// seconds of coasting at zero. Within bouts the client minds the plan more
// and the hills less, and coasts less. Each second of a bout holds the bout's
// length, the others 0.
func (r rider) ride(rng *rand.Rand, planned, bout []float64, ground terrain) []float64 {
	n := len(planned)
	fast, slow := r.fast.Series(rng, n), r.slow.Series(rng, n)
	out := make([]float64, n)
	for i, level := range planned {
		hill, loose := r.perGrade*100*ground.grade[i], r.loose
		if bout[i] > 0 {
			hill *= r.held
			loose = 1
		}
		out[i] = max(0, level*max(0, 1+hill)*(1+loose*(fast[i]+slow[i])))
	}
	since := 0 // s since a bout began or ended
	for i := 0; i < n; i++ {
		if since++; i > 0 && bout[i] != bout[i-1] {
			since = 0
		}
		rate, longest := r.coasts/3600, r.coastMax
		if bout[i] > 0 {
			rate /= 3
			longest = coastHeld(bout[i])
			if since < settling {
				// Nobody begins a bout by letting go.
				continue
			}
		}
		// Steep descents are coasted down.
		if ground.grade[i] < -0.03 {
			rate *= 4
		}
		if chance(rng, rate) {
			// Most are short, and none lasts into the next bout.
			u, in := rng.Float64(), bout[i]
			for end := min(n, i+1+int(longest*u*u)); i < end && bout[i] == in; i++ {
				out[i] = 0
			}
			i--
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
