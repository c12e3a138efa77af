package bouts

import (
	"math"
	"slices"
)

// A boundary is placed by the likelihood of the 1 Hz values around it. The
// model is two levels joined by a straight ramp of unknown length centred on
// the boundary, in autocorrelated noise of the first order whose size may
// differ on the two sides. The posterior over the centre, summed over the
// ramp's form, gives the estimate (its median) and the 90 % interval. What the
// boundaries of a session have in common is learnt from all of them: the noise
// (held.go), the forms (posterior.go) and the durations that a set repeats
// (habit.go).

const (
	nearestReach  = 8.0  // s, how far around the block boundary is searched at least
	farthestReach = 50.0 // s, and at most
	firstWindow   = 45   // s, from which the level of a side is judged at first
	leastWindow   = 20   // s, on a clean signal: what is farther away may differ
	mostWindow    = 160  // s, on a noisy one
	windowPerBlur = 70   // s of window per second by which noise blurs the step
	rampMargin    = 4    // s next to the boundary that are left out of it

	// The model is never exact: levels move by a share of the step for
	// reasons of their own. Without a floor a clean signal would give
	// intervals of nothing.
	leastError = 0.04

	// Squared residuals count ever less and never more than this, in squared
	// standard errors, so that one spike cannot place a boundary.
	mostError = 30.0

	// trustShare flattens every likelihood a little, for what the model leaves
	// out. Where the noise could only be judged on the staircase, it has a longer
	// memory than the first order: the likelihood is flattened by how much more
	// it varies in the long run than the model says, within mostFlat.
	trustShare = 0.8
	mostFlat   = 4.0

	// blurReach is how far around the block boundary is searched, in times of
	// what noise blurs it by.
	blurReach = 8.0

	// The window of one side sees too little of the noise: that of all sides
	// alike counts for so many seconds more.
	noisePrior = 200.0

	// With more boundaries than manyEdges in a session, only rises up to
	// briskRise seconds are tried: it takes a day of short intervals, and they
	// have no room for slow ones.
	manyEdges = 500
	briskRise = 2.0

	// riseShare is the longest rise as a share of the shorter side.
	riseShare = 0.6

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
	begins bool    // a bout begins here
}

// placed is where it was found.
type placed struct{ at, half float64 }

// edges places boundaries in one series.
type edges struct {
	p     series
	phi   float64 // correlation of the noise from second to second
	noise float64 // long-run variance, of both sides together
	sides held    // noise of either
	trust float64 // factor on the log likelihood, at most 1
	brisk bool    // many boundaries: sharp ones are looked for only

	// Room that every boundary uses anew.
	likelihood *whitened
	values     []float64
}

// side is what lies on one side of a boundary.
type side struct {
	level    float64
	variance float64 // of the innovations
	ok       bool
}

// newEdges judges the noise that all boundaries share: around the bouts, or
// else around the staircase.
func newEdges(p series, f *fit, bouts []member) edges {
	e := edges{p: p, trust: trustShare, brisk: 2*len(bouts) > manyEdges,
		likelihood: &whitened{}, values: make([]float64, 0, mostWindow)}
	var ok bool
	if e.sides, ok = newHeld(p, bouts); !ok {
		var flat float64
		e.sides, flat = heldBySteps(p, f)
		e.trust /= min(mostFlat, flat)
	}
	e.phi = e.sides.phi
	e.noise = (e.sides.in + e.sides.out) / 2 * memory(e.phi)
	return e
}

// placeAll finds the boundaries of bouts in order of time, a start and an end in
// turn: on their own at first, then with what the others of their set tell. A set
// is given by the places of its bouts among all.
func (e edges) placeAll(all []edge, sets [][]int) []placed {
	looks := make([]posterior, len(all))
	for k, g := range all {
		looks[k] = e.look(g)
	}
	forms := commonForms(looks)
	alone := make([]placed, len(all))
	for k := range looks {
		alone[k] = looks[k].placed(&forms, nil)
	}
	together := slices.Clone(alone)
	for _, set := range sets {
		h := newHabits(set, alone)
		for i := range set {
			for _, k := range [2]int{2 * set[i], 2*set[i] + 1} {
				if belief := h.belief(set, i, k, alone); belief != nil {
					together[k] = looks[k].placed(&forms, belief)
				}
			}
		}
	}
	return together
}

// look weighs the places of one boundary.
func (e edges) look(g edge) posterior {
	out, in := e.bothSides(g, firstWindow)
	if step := in.level - out.level; step != 0 {
		out, in = e.bothSides(g, min(mostWindow, leastWindow+windowPerBlur*e.noise/(step*step)))
	}
	step := in.level - out.level
	if !out.ok || !in.ok || step == 0 {
		return posterior{fallback: placed{at: g.at, half: nearestReach}}
	}
	floor := leastError * leastError * step * step
	out.variance = max(out.variance, floor)
	in.variance = max(in.variance, floor)

	// The location of a step is uncertain by the noise over its square.
	reach := min(farthestReach, max(nearestReach, blurReach*e.noise/(step*step)))
	from := g.at - min(reach, g.before/2)
	to := g.at + min(reach, g.after/2)
	return e.weigh(from, to, e.longest(g), out, in)
}

// longest is the longest rise tried at a boundary, in seconds.
func (e edges) longest(g edge) float64 {
	if e.brisk {
		return briskRise
	}
	return riseShare * min(g.before, g.after)
}

// bothSides judges both sides of a boundary from windows of the given length.
func (e edges) bothSides(g edge, window float64) (out, in side) {
	before, after := e.sides.in, e.sides.out
	if g.begins {
		before, after = after, before
	}
	out = e.judge(g.at-min(g.before, window), g.at-rampMargin, before)
	in = e.judge(g.at+rampMargin, g.at+min(g.after, window), after)
	return out, in
}

// judge estimates the level and the noise between two times, given the variance
// of single seconds on all sides alike.
func (e edges) judge(from, to, usual float64) side {
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
	s.variance = (n*spread*spread + noisePrior*usual) / (n + noisePrior) * (1 - e.phi*e.phi)
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

// negligible is how much less likely than the best, as a logarithm, a place is
// that counts for nothing.
const negligible = 20.0

// weigh weighs every centre between from and to, with rises up to the longest.
func (e edges) weigh(from, to, longest float64, out, in side) posterior {
	// Whole and half seconds, so that the shares of a rise can be tabled.
	from = math.Floor(from)
	q := posterior{from: from, apart: spacing(to - from)}
	n := int((to-from)/q.apart) + 1
	first := max(1, int(from)-longestRise)
	last := min(len(e.p.y), int(to)+longestRise+2)
	if last <= first || n < 2 {
		q.fallback = placed{at: (from + to) / 2, half: nearestReach}
		return q
	}
	w := e.likelihood
	q.width = risesUpTo(longest)
	w.whiten(e, first, last, out, in, q.width)
	q.shares = make([]float64, n*q.width)
	for k := range n {
		w.each(q.shares[k*q.width:(k+1)*q.width], from+float64(k)*q.apart)
	}
	best := slices.Max(q.shares)
	for i, v := range q.shares {
		q.shares[i] = 0
		if v > best-negligible {
			q.shares[i] = math.Exp(v - best)
			q.forms[i%q.width] += q.shares[i]
		}
	}
	return q
}
