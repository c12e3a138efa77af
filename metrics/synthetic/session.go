package synthetic

import (
	"math"
	"math/rand/v2"

	"boutwise/metrics/bouts"
)

// Truth is one bout as it was planned and done.
type Truth struct {
	Start, End float64    // s from the first sample; [Start, End)
	Mean       float64    // output as done, not as recorded, in the unit of the signal
	Quarters   [4]float64 // mean of each quarter over Mean, in percent
}

// Session is one invented session with its truth.
type Session struct {
	Scenario string
	Seed     uint64
	Signal   bouts.Signal
	Samples  Samples
	Truth    []Truth // empty where nothing is to be found

	// Done is what the client did (or the heart, when only its rate was
	// recorded), second by second, before any device came between.
	Done []float64
}

// client is who does a session; drawn anew for each.
type client struct {
	power    float64 // W that can be held for some minutes
	speed    float64 // m/s likewise
	resting  float64 // beats a minute
	working  float64 // beats a minute in the end at a work level of 1
	kinetics Kinetics
}

// anyone draws a client, from out of condition to trained.
func anyone(rng *rand.Rand) client {
	resting := between(rng, 48, 80)
	return client{
		power:   between(rng, 80, 320),
		speed:   between(rng, 1.9, 4.8),
		resting: resting,
		working: between(rng, max(resting+60, 125), 190),
		kinetics: Kinetics{
			TauOn:        between(rng, 25, 60),
			TauOff:       between(rng, 35, 80),
			Delay:        between(rng, 2, 12),
			DriftPerHour: between(rng, 0, 12),
		},
	}
}

// heart returns the heart rate that an output at 1 Hz brings, where level is
// the output that demands the client's working rate.
func (c client) heart(output []float64, level float64) []float64 {
	demand := make([]float64, len(output))
	for i, v := range output {
		// Standing about costs some beats over rest; above the work level the
		// rate has little room left.
		x := v / level
		if x > 1 {
			x = 1 + 0.4*(x-1)
		}
		demand[i] = c.resting + 15 + (c.working-c.resting-15)*x
	}
	rate := c.kinetics.Response(demand, c.resting+15)
	for i, h := range rate {
		rate[i] = min(h, c.working+15)
	}
	return rate
}

// truth measures the planned bouts on the output as done.
func truth(p plan, done []float64) []Truth {
	var all []Truth
	for _, span := range p.spans(bout) {
		t := Truth{Start: span[0], End: span[1]}
		t.Mean = meanOver(done, t.Start, t.End)
		for q := range t.Quarters {
			a := t.Start + (t.End-t.Start)*float64(q)/4
			b := t.Start + (t.End-t.Start)*float64(q+1)/4
			t.Quarters[q] = 100 * meanOver(done, a, b) / t.Mean
		}
		all = append(all, t)
	}
	return all
}

// meanOver is the mean of a 1 Hz column over [from, to), with the seconds at
// both ends counted by the part that lies within.
func meanOver(x []float64, from, to float64) float64 {
	sum, weight := 0.0, 0.0
	for i := int(from); i < len(x) && float64(i) < to; i++ {
		w := min(to, float64(i+1)) - max(from, float64(i))
		sum += w * x[i]
		weight += w
	}
	if weight == 0 {
		return math.NaN()
	}
	return sum / weight
}

// within gives the seconds of a plan's bouts the length of their bout, and the
// others 0.
func within(p plan, n int) []float64 {
	in := make([]float64, n)
	for _, span := range p.spans(bout) {
		for i := int(span[0]); i < min(n, int(span[1])); i++ {
			in[i] = span[1] - span[0]
		}
	}
	return in
}
