package bouts

import "math"

// whitened is the likelihood of a stretch of values under a ramp between two
// levels. Away from the ramp it is a running sum, so that one evaluation costs
// only the ramp's own length.
type whitened struct {
	e       edges
	first   int
	last    int
	out, in side
	before  []float64 // running log likelihood as if all were outside
	after   []float64 // as if all were inside
}

func newWhitened(e edges, first, last int, out, in side) whitened {
	w := whitened{e: e, first: first, last: last, out: out, in: in}
	w.before = make([]float64, last-first+1)
	w.after = make([]float64, last-first+1)
	for i := first; i < last; i++ {
		k := i - first
		w.before[k+1] = w.before[k] + w.term(i, out.level, out.level, out.variance)
		w.after[k+1] = w.after[k] + w.term(i, in.level, in.level, in.variance)
	}
	return w
}

// term is the log likelihood of second i, given what is expected in it and in
// the second before. Only seconds with a sample of their own speak.
func (w *whitened) term(i int, expected, previous, variance float64) float64 {
	p := &w.e.p
	if !p.own[i] || p.w[i] == 0 {
		return 0
	}
	d := p.y[i] - expected
	if p.own[i-1] && p.w[i-1] > 0 {
		d -= w.e.phi * (p.y[i-1] - previous)
	} else {
		// Nothing is known of the noise in the second before.
		variance /= 1 - w.e.phi*w.e.phi
	}
	return -0.5*min(mostError, d*d/variance) - 0.5*math.Log(variance)
}

// looseness is how far, as a share of the step, values stray from a rise for
// reasons of their own: nobody rises in a straight line.
const looseness = 0.08

// likelihood is the log likelihood of a rise centred on t.
func (w *whitened) likelihood(t float64, form rise) float64 {
	a := min(w.last, max(w.first, int(math.Floor(t-form.length/2))))
	b := min(w.last, max(w.first, int(math.Ceil(t+form.length/2))+1))
	sum := w.before[a-w.first] + w.after[len(w.after)-1] - w.after[b-w.first]
	step := w.in.level - w.out.level
	loose := 4 * looseness * looseness * step * step
	share := form.share(float64(a-1) - t)
	for i := a; i < b; i++ {
		next := form.share(float64(i) - t)
		variance := w.out.variance + (w.in.variance-w.out.variance)*next + loose*next*(1-next)
		sum += w.term(i, w.out.level+step*next, w.out.level+step*share, variance)
		share = next
	}
	return sum
}

// share is the mean share of a rise that is done in second [x, x+1) from its
// centre.
func (r rise) share(x float64) float64 {
	if r.staged {
		// Half of it at either end.
		return (max(0, min(1, x+1+r.length/2)) + max(0, min(1, x+1-r.length/2))) / 2
	}
	return cleared(x+1, r.length) - cleared(x, r.length)
}

// cleared is the integral up to x of a ramp from 0 to 1 over length seconds
// centred on 0.
func cleared(x, length float64) float64 {
	half := length / 2
	switch {
	case x <= -half:
		return 0
	case x >= half:
		return x
	}
	u := x + half
	return u * u / (2 * length)
}
