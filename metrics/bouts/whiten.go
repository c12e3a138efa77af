package bouts

import "math"

// whitened is the likelihood of a stretch of values under a rise between two
// levels, in noise of the first order: what a second deviates, less what the
// second before lets expect, is independent. Away from the rise it is a
// running sum, so that one evaluation costs only the rise's own length.
type whitened struct {
	first, last int
	phi, trust  float64
	out, step   float64
	values      []float64 // from second first - 1 on
	speaks      []float64 // 1 where the second and the one before have samples, the variance's share where only it has, 0 where not
	before      []float64 // running log likelihood as if all were outside
	after       []float64 // as if all were inside
	forms       []weighed // the rises, as weighed for these two sides
	room        []float64 // that the forms lie in
}

// weighed holds, for the seconds of a rise, what does not depend on where it
// lies: the level over the outer one, the inverse variance and its log.
type weighed struct {
	level, precision, logPrecision [2][]float64
}

// looseness is how far, as a share of the step, values stray from a rise for
// reasons of their own: nobody rises in a straight line.
const looseness = 0.08

// whiten prepares the seconds from first to last for two sides and the shortest
// rises, in the room that w had before.
func (w *whitened) whiten(e edges, first, last int, out, in side, forms int) {
	w.first, w.last, w.phi, w.trust = first, last, e.phi, e.trust
	w.out, w.step = out.level, in.level-out.level
	w.values = e.p.y[first-1 : last]
	n := last - first
	w.speaks, w.before, w.after = resized(w.speaks, n), resized(w.before, n+1), resized(w.after, n+1)
	outLog, inLog := -math.Log(out.variance), -math.Log(in.variance)
	for i := first; i < last; i++ {
		k := i - first
		w.speaks[k] = 0
		switch {
		case !e.p.own[i] || e.p.w[i] == 0:
		case e.p.own[i-1] && e.p.w[i-1] > 0:
			w.speaks[k] = 1
		default:
			// Nothing is known of the noise in the second before.
			w.speaks[k] = 1 - w.phi*w.phi
		}
		w.before[k+1] = w.before[k] + w.term(k, 0, 0, 1/out.variance, outLog)
		w.after[k+1] = w.after[k] + w.term(k, w.step, w.step, 1/in.variance, inLog)
	}
	w.weigh(out.variance, in.variance, forms)
}

// resized is a slice of n values, the first of which is 0, in the room of
// another if that will do.
func resized(x []float64, n int) []float64 {
	if cap(x) < n {
		x = make([]float64, n)
	}
	if n > 0 {
		x[:1][0] = 0
	}
	return x[:n]
}

// weigh prepares the shortest rises.
func (w *whitened) weigh(outer, inner float64, forms int) {
	loose := 4 * looseness * looseness * w.step * w.step
	if w.forms == nil {
		w.forms = make([]weighed, riseForms)
		w.room = make([]float64, 3*seconds(rises))
	}
	room := w.room
	for f, r := range rises[:forms] {
		v := &w.forms[f]
		for h, shares := range r.shares {
			n := len(shares)
			v.level[h], v.precision[h], v.logPrecision[h] = room[:n], room[n:2*n], room[2*n:3*n]
			room = room[3*n:]
			for i, s := range shares {
				v.level[h][i] = w.step * s
				v.precision[h][i] = 1 / (outer + (inner-outer)*s + loose*s*(1-s))
				v.logPrecision[h][i] = math.Log(v.precision[h][i])
			}
		}
	}
}

// term is the log likelihood of the k-th second, given the levels of it and of
// the second before, over the outer one.
func (w *whitened) term(k int, level, previous, precision, logPrecision float64) float64 {
	speaks := w.speaks[k]
	if speaks == 0 {
		return 0
	}
	d := w.values[k+1] - w.out - level
	if speaks == 1 {
		d -= w.phi * (w.values[k] - w.out - previous)
	}
	error := d * d * precision * speaks
	return 0.5 * (logPrecision - error*mostError/(error+mostError))
}

// each puts the log likelihoods of a centre on a whole or half second under the
// shortest rises into a row, as many as it holds.
func (w *whitened) each(row []float64, t float64) {
	second := math.Floor(t)
	h := 0
	if t-second >= 0.5 {
		h = 1
	}
	for f := range row {
		row[f] = w.trust * w.likelihood(int(second), h, f)
	}
}

// likelihood is the log likelihood of rise f centred on a second, or half a
// second after it.
func (w *whitened) likelihood(second, h, f int) float64 {
	v := &w.forms[f]
	from := second + rises[f].starts[h] - w.first
	level, precision, logPrecision := v.level[h], v.precision[h], v.logPrecision[h]
	a := min(len(w.speaks), max(0, from))
	b := min(len(w.speaks), max(0, from+len(level)))
	sum := w.before[a] + w.after[len(w.after)-1] - w.after[b]
	previous := 0.0
	for k := a; k < b; k++ {
		i := k - from
		sum += w.term(k, level[i], previous, precision[i], logPrecision[i])
		previous = level[i]
	}
	return sum
}
