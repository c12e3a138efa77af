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

// likelihood is the log likelihood of a ramp of the given length centred on t.
func (w *whitened) likelihood(t, length float64) float64 {
	a := min(w.last, max(w.first, int(math.Floor(t-length/2))))
	b := min(w.last, max(w.first, int(math.Ceil(t+length/2))+1))
	sum := w.before[a-w.first] + w.after[len(w.after)-1] - w.after[b-w.first]
	step := w.in.level - w.out.level
	share := risen(float64(a-1), t, length)
	for i := a; i < b; i++ {
		next := risen(float64(i), t, length)
		variance := w.out.variance + (w.in.variance-w.out.variance)*next
		sum += w.term(i, w.out.level+step*next, w.out.level+step*share, variance)
		share = next
	}
	return sum
}

// risen is the mean share of a ramp that is done in second [i, i+1).
func risen(i, t, length float64) float64 {
	return clearedArea(i+1-t, length) - clearedArea(i-t, length)
}

// clearedArea is the integral up to x of a ramp that rises from 0 to 1 over
// length seconds centred on 0.
func clearedArea(x, length float64) float64 {
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
