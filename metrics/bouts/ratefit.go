package bouts

import "math"

// The boundaries of a bout that was found by heart rate are placed by the
// kinetics themselves: on either side of a change of work the rate closes on
// a level exponentially, so that around one boundary it is
//
//	before: D1 + (h0 - D1) exp(-(t - w)/tau1)
//	after:  D2 + (h1 - D2) exp(-(t - t0)/tau2), h1 the value reached at t0
//
// which for given t0 and time constants is linear in h0, D1 and D2. The time
// constants belong to the client and the day: the pair is taken under which
// all boundaries together fit best.
const (
	rateReach  = 100 // s of the rate on either side of a boundary
	rateSearch = 26  // s around the first guess

	// The delay between work and the first answer of the heart, and what is
	// not known of it, in seconds. Without an output nothing in the recording
	// tells it; a few to some ten seconds are usual (from memory).
	rateDelay   = 7.0
	delaySpread = 3.5

	// rateSmooth is how many seconds of a strap's noise are about one
	// independent value.
	rateSmooth = 10.0
)

var (
	riseConstants = [...]float64{25, 35, 48, 65}
	fallConstants = [...]float64{30, 45, 62, 85}
)

// rateEdges places boundaries in a heart rate.
type rateEdges struct {
	p series
}

// rateEdge is one boundary to be placed.
type rateEdge struct {
	edge
	rising bool
}

// fineness is how closely a boundary is searched, in seconds.
type fineness struct {
	search float64 // between two places tried
	values int     // between two values used
}

var (
	rough = fineness{search: 6, values: 4}
	fine  = fineness{search: 2, values: 2}
)

// tunedOn is how many boundaries the time constants are chosen on.
const tunedOn = 6

// placeAll places every boundary, with time constants in common.
func (r rateEdges) placeAll(all []rateEdge) []placed {
	out := make([]placed, len(all))
	rise, fall := r.constants(all)
	by := fine
	if len(all) > manyEdges {
		by = rough
	}
	for k, g := range all {
		out[k], _ = r.place(g, rise, fall, by)
	}
	return out
}

// constants chooses the time constants under which some boundaries, spread
// over the session, together fit best.
func (r rateEdges) constants(all []rateEdge) (rise, fall float64) {
	least := math.Inf(1)
	// An odd stride takes starts and ends in turn.
	stride := len(all)/tunedOn | 1
	for _, on := range riseConstants {
		for _, off := range fallConstants {
			cost := 0.0
			for k := 0; k < len(all); k += stride {
				_, c := r.place(all[k], on, off, rough)
				cost += c
			}
			if cost < least {
				least, rise, fall = cost, on, off
			}
		}
	}
	return rise, fall
}

// place finds one boundary under given time constants, and how well it fits:
// the squared error of the best curve.
func (r rateEdges) place(g rateEdge, rise, fall float64, by fineness) (placed, float64) {
	before, after := fall, rise
	if !g.rising {
		before, after = rise, fall
	}
	from := max(0, int(g.at-min(g.before, rateReach)))
	to := min(len(r.p.y), int(g.at+min(g.after, rateReach)+rateDelay))
	lo := max(float64(from)+6, g.at-min(rateSearch, g.before*0.7)+rateDelay)
	hi := min(float64(to)-6, g.at+min(rateSearch, g.after*0.7)+rateDelay)
	if hi <= lo {
		return placed{at: g.at, half: rateSearch}, 0
	}
	n := int((hi-lo)/by.search) + 1
	costs := make([]float64, n)
	least, values := math.Inf(1), 0.0
	for k := range costs {
		costs[k], values = r.misfit(from, to, by.values, lo+float64(k)*by.search, before, after)
		least = min(least, costs[k])
	}
	if values < 8 || math.IsInf(least, 1) {
		return placed{at: g.at, half: rateSearch}, 0
	}
	// Noise as the best fit leaves it, never below the rounding to a beat.
	variance := max(0.5, least/values)
	independent := float64(by.values) / rateSmooth
	total := 0.0
	for k, c := range costs {
		costs[k] = math.Exp(-(c - least) / (2 * variance) * independent)
		total += costs[k]
	}
	low, mid, high := crossing(costs, 0.05*total), crossing(costs, 0.5*total), crossing(costs, 0.95*total)
	half := max(mid-low, high-mid) * by.search
	return placed{
		at:   lo + mid*by.search - rateDelay,
		half: math.Hypot(half, 1.645*delaySpread),
	}, least
}

// misfit is the squared error of the best curve with its change at t0, and
// how many values it was measured on.
func (r rateEdges) misfit(from, to, each int, t0, before, after float64) (float64, float64) {
	var a [3][3]float64
	var b [3]float64
	yy, n := 0.0, 0.0
	decay1, decay2 := math.Exp(-float64(each)/before), math.Exp(-float64(each)/after)
	reached := math.Exp(-(t0 - float64(from)) / before)
	e1, e2 := 1.0, 0.0
	for i := from; i < to; i += each {
		var x [3]float64 // of h0, D1, D2
		if t := float64(i); t < t0 {
			x = [3]float64{e1, 1 - e1, 0}
			e1 *= decay1
		} else {
			if e2 == 0 {
				e2 = math.Exp(-(t - t0) / after)
			}
			x = [3]float64{e2 * reached, e2 * (1 - reached), 1 - e2}
			e2 *= decay2
		}
		if r.p.w[i] == 0 {
			continue
		}
		y := r.p.y[i]
		for j := range x {
			for k := j; k < 3; k++ {
				a[j][k] += x[j] * x[k]
			}
			b[j] += x[j] * y
		}
		yy += y * y
		n++
	}
	solved, ok := solve3(a, b)
	if !ok {
		return math.Inf(1), n
	}
	return max(0, yy-solved[0]*b[0]-solved[1]*b[1]-solved[2]*b[2]), n
}

// solve3 solves a symmetric system of three by elimination without pivoting,
// of which the upper triangle is given; a touch on the diagonal keeps curves
// apart that the values cannot tell apart.
func solve3(a [3][3]float64, b [3]float64) ([3]float64, bool) {
	const touch = 1e-6
	for j := range 3 {
		a[j][j] += touch
		for k := range j {
			a[j][k] = a[k][j]
		}
	}
	for j := range 3 {
		if a[j][j] <= 0 {
			return b, false
		}
		for i := j + 1; i < 3; i++ {
			f := a[i][j] / a[j][j]
			for k := j; k < 3; k++ {
				a[i][k] -= f * a[j][k]
			}
			b[i] -= f * b[j]
		}
	}
	for j := 2; j >= 0; j-- {
		for k := j + 1; k < 3; k++ {
			b[j] -= a[j][k] * b[k]
		}
		b[j] /= a[j][j]
	}
	return b, true
}
