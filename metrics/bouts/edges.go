package bouts

import "math"

// A boundary is placed by the likelihood of the 1 Hz values around it. The
// model is two levels joined by a straight ramp of unknown length centred on
// the boundary, in autocorrelated noise of the first order whose size may
// differ on the two sides. The posterior over the centre, summed over the
// ramp's length, gives the estimate (its median) and the 90 % interval.

const (
	nearestReach  = 8.0  // s, how far around the block boundary is searched at least
	farthestReach = 50.0 // s, and at most
	firstWindow   = 45   // s, from which the level of a side is judged at first
	leastWindow   = 20   // s, on a clean signal: what is farther away may differ
	mostWindow    = 100  // s, on a noisy one
	windowPerBlur = 70   // s of window per second by which noise blurs the step
	rampMargin    = 4    // s next to the boundary that are left out of it

	// The model is never exact: levels move by a share of the step for
	// reasons of their own. Without a floor a clean signal would give
	// intervals of nothing.
	leastError = 0.04

	// Squared residuals count ever less and never more than this, in squared
	// standard errors, so that one spike cannot place a boundary.
	mostError = 20.0

	// The noise has a longer memory than the first order; where it has, the
	// likelihood is flattened by how much more it varies in the long run than
	// the model says, within this bound.
	mostFlat = 4.0

	// With more boundaries than manyEdges in a session, only rises up to
	// briskRise seconds are tried: it takes a day of short intervals, and they
	// have no room for slow ones.
	manyEdges = 500
	briskRise = 2.0

	// riseShare is the longest rise as a share of the shorter side.
	riseShare = 0.6

	// levelDoubt flattens it further in noise, per second of blur.
	levelDoubt = 2.5

	// leastHalf is the narrowest half-width reported, in seconds.
	leastHalf = 0.25
)

// normalQuartile is the upper quartile of a standard normal variable: half
// its absolute values lie below.
const normalQuartile = 0.6745

// edge is one boundary to be placed.
type edge struct {
	at     float64 // s, first guess
	before float64 // s, room on the side before it
	after  float64 // s, room after it
}

// placed is where it was found.
type placed struct{ at, half float64 }

// edges places boundaries in one series.
type edges struct {
	p     series
	phi   float64 // correlation of the noise from second to second
	noise float64 // long-run variance
	trust float64 // factor on the log likelihood, at most 1
	brisk bool    // many boundaries: sharp ones are looked for only

	// Room that every boundary uses anew.
	likelihood      *whitened
	values, weights []float64
}

// side is what lies on one side of a boundary.
type side struct {
	level    float64
	variance float64 // of the innovations
	ok       bool
}

// newEdges judges the noise that all boundaries share.
func newEdges(p series, f *fit, count int) edges {
	e := edges{p: p, noise: f.noise, trust: 1, brisk: count > manyEdges,
		likelihood: &whitened{}, values: make([]float64, 0, mostWindow), weights: make([]float64, 0, 2*farthestReach+2)}
	lag, square, n := 0.0, 0.0, 0.0
	for _, st := range f.steps {
		last := math.NaN()
		for i := st.a*f.size + rampMargin; i < min(st.b*f.size-rampMargin, len(p.y)); i++ {
			if !p.own[i] || p.w[i] == 0 {
				last = math.NaN()
				continue
			}
			d := p.y[i] - st.mean
			if !math.IsNaN(last) {
				lag += d * last
				square += last * last
				n++
			}
			last = d
		}
	}
	if square > 0 {
		e.phi = min(0.95, max(0, lag/square))
		modelled := square / n * (1 + e.phi) / (1 - e.phi)
		e.trust = 1 / min(mostFlat, max(1, e.noise/modelled))
	}
	return e
}

// place finds one boundary.
func (e edges) place(g edge) placed {
	out, in := e.sides(g, firstWindow)
	if step := in.level - out.level; step != 0 {
		out, in = e.sides(g, min(mostWindow, leastWindow+windowPerBlur*e.noise/(step*step)))
	}
	step := in.level - out.level
	if !out.ok || !in.ok || step == 0 {
		return placed{at: g.at, half: nearestReach}
	}
	floor := leastError * leastError * step * step
	out.variance = max(out.variance, floor)
	in.variance = max(in.variance, floor)

	// The location of a step is uncertain by the noise over its square.
	blur := e.noise / (step * step)
	reach := min(farthestReach, max(nearestReach, 5*blur))
	// The levels of the sides are the less known the noisier they are.
	e.trust /= 1 + levelDoubt*min(1.5, blur)
	from := g.at - min(reach, g.before/2)
	to := g.at + min(reach, g.after/2)
	return e.posterior(from, to, e.longest(g), out, in)
}

// longest is the longest rise tried at a boundary, in seconds.
func (e edges) longest(g edge) float64 {
	if e.brisk {
		return briskRise
	}
	return riseShare * min(g.before, g.after)
}

// sides judges both sides of a boundary from windows of the given length.
func (e edges) sides(g edge, window float64) (out, in side) {
	out = e.judge(g.at-min(g.before, window), g.at-rampMargin)
	in = e.judge(g.at+rampMargin, g.at+min(g.after, window))
	return out, in
}

// judge estimates the level and the noise between two times.
func (e edges) judge(from, to float64) side {
	a, b := max(0, int(from)), min(len(e.p.y), int(to))
	if b-a < 3 {
		// Hardly any room: take what there is around the middle.
		mid := (from + to) / 2
		a, b = max(0, int(mid-2)), min(len(e.p.y), int(mid+2))
	}
	values := e.values[:0]
	for i := a; i < b; i++ {
		if e.p.w[i] > 0 {
			values = append(values, e.p.y[i])
		}
	}
	if len(values) == 0 {
		return side{}
	}
	// Medians, because a window may hold more than one level: the one that
	// fills most of it is meant.
	n := float64(len(values))
	s := side{level: medianOf(values), ok: true}
	for i, v := range values {
		values[i] = math.Abs(v - s.level)
	}
	spread := medianOf(values) / normalQuartile
	// A short window sees too little of the noise; the session's long-run
	// variance, turned into one of single seconds, counts for ten more.
	const prior = 10
	session := e.noise * (1 - e.phi) / (1 + e.phi)
	s.variance = (n*spread*spread + prior*session) / (n + prior) * (1 - e.phi*e.phi)
	return s
}

// spacing is the distance in seconds between the centres that are tried: half
// seconds near a sharp edge, seconds in a wide search.
func spacing(width float64) float64 {
	if width > 40 {
		return 1
	}
	return 0.5
}

// posterior weighs every centre between from and to, with rises up to the
// longest.
func (e edges) posterior(from, to, longest float64, out, in side) placed {
	// Whole and half seconds, so that the shares of a rise can be tabled.
	from = math.Floor(from)
	apart := spacing(to - from)
	n := int((to-from)/apart) + 1
	first := max(1, int(from)-longestRise)
	last := min(len(e.p.y), int(to)+longestRise+2)
	if last <= first || n < 2 {
		return placed{at: (from + to) / 2, half: nearestReach}
	}
	w := e.likelihood
	w.whiten(e, first, last, out, in, longest)
	weights := resized(e.weights, n)
	best := math.Inf(-1)
	for k := range weights {
		weights[k] = w.mixed(from+float64(k)*apart, longest)
		best = max(best, weights[k])
	}
	total := 0.0
	for k, v := range weights {
		weights[k] = math.Exp(v - best)
		total += weights[k]
	}
	low := crossing(weights, total*0.05)
	mid := crossing(weights, total*0.5)
	high := crossing(weights, total*0.95)
	return placed{
		at:   from + mid*apart,
		half: max(leastHalf, max(mid-low, high-mid)*apart),
	}
}

// crossing is where the running sum of the weights passes a mark, in steps
// from the first weight's centre, linear within a weight's own cell.
func crossing(weights []float64, mark float64) float64 {
	sum := 0.0
	for k, v := range weights {
		if sum+v >= mark && v > 0 {
			return float64(k) - 0.5 + (mark-sum)/v
		}
		sum += v
	}
	return float64(len(weights) - 1)
}
