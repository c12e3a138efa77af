package bouts

import "math"

// held is the noise around what is held, on both sides of the boundaries of
// found bouts: of the first order, with one correlation and two sizes. It is
// judged on whole bouts and rests. The staircase would not do: its steps follow
// the slow part of the noise, which then looks small and short of memory.
type held struct {
	phi     float64 // correlation from second to second
	in, out float64 // variance of single seconds within bouts and outside them
}

const (
	// A line is taken from each piece of at most heldPiece seconds, since a
	// bout may fade and a warm-up rise; shorter ones than leastPiece tell
	// nothing. They keep heldMargin seconds away from every boundary.
	heldPiece, leastPiece, heldMargin = 120, 30, 6

	// leastHeld is how many seconds the noise is judged on at least.
	leastHeld = 4 * leastPiece

	// A piece with heldOdd times the usual variance holds a change of level.
	heldOdd = 4.0

	// mostPhi bounds the memory of the noise to some 20 s.
	mostPhi = 0.95
)

// newHeld judges the noise around bouts in order of time; not ok where they and
// their rests are too short for that.
func newHeld(p series, bouts []member) (h held, ok bool) {
	var in, out []piece
	last := 0.0
	for _, b := range bouts {
		out = p.pieces(out, last, b.Start)
		in = p.pieces(in, b.Start, b.End)
		last = b.End
	}
	out = p.pieces(out, last, float64(len(p.y)))
	bout, rest := pooled(in), pooled(out)
	all := bout
	all.add(rest)
	if all.n < leastHeld || bout.n < leastPiece || !(all.before > 0) {
		return held{}, false
	}
	// A line through so few seconds takes some of the correlation and of the
	// variance with it: to the first order (2 + 4 phi)/n of the one and 2/n,
	// once for every independent value, of the other.
	n := min(heldPiece, all.n)
	h.phi = min(mostPhi, max(0, (all.lag/all.before+2/n)/(1-4/n)))
	kept := 1 - min(0.5, 2*memory(h.phi)/n)
	h.in = bout.square / bout.n / kept
	h.out = h.in
	if rest.n >= leastPiece {
		h.out = rest.square / rest.n / kept
	}
	return h, true
}

// heldBySteps judges the noise around the staircase instead, which is all there is
// where bouts are short, and by how much it varies more in the long run than noise
// of the first order would, at least 1.
func heldBySteps(p series, f *fit) (h held, more float64) {
	var all piece
	for _, st := range f.steps {
		all.add(p.around(st.a*f.size+rampMargin, min(st.b*f.size-rampMargin, len(p.y)), st.mean, 0))
	}
	more = 1
	if all.before > 0 {
		h.phi = min(mostPhi, max(0, all.lag/all.before))
		more = max(1, f.noise/(all.square/all.n*memory(h.phi)))
	}
	h.in = f.noise / memory(h.phi)
	h.out = h.in
	return h, more
}

// memory is the long-run variance of noise of the first order over that of
// single seconds.
func memory(phi float64) float64 { return (1 + phi) / (1 - phi) }

// piece is what a stretch leaves around a straight line.
type piece struct {
	n      float64 // s that count
	square float64 // sum of squares
	lag    float64 // of products with the second before
	before float64 // of squares of those seconds before
}

// add puts the sums of two pieces together.
func (q *piece) add(o piece) {
	q.n += o.n
	q.square += o.square
	q.lag += o.lag
	q.before += o.before
}

// pooled adds pieces up, without the odd ones.
func pooled(all []piece) piece {
	var sum piece
	if len(all) == 0 {
		return sum
	}
	variances := make([]float64, len(all))
	for k, q := range all {
		variances[k] = q.square / q.n
	}
	most := heldOdd * medianOf(variances)
	for _, q := range all {
		if q.square <= most*q.n {
			sum.add(q)
		}
	}
	return sum
}

// pieces appends the pieces of a stretch, all about as long.
func (p series) pieces(all []piece, from, to float64) []piece {
	a, b := int(from)+heldMargin, int(to)-heldMargin
	if b-a < leastPiece {
		return all
	}
	count := (b - a + heldPiece - 1) / heldPiece
	for k := range count {
		if q := p.piece(a+(b-a)*k/count, a+(b-a)*(k+1)/count); q.square > 0 {
			all = append(all, q)
		}
	}
	return all
}

// piece measures seconds [a, b).
func (p series) piece(a, b int) piece {
	var n, st, stt, sy, sty float64
	for i := a; i < b; i++ {
		if p.speaks(i) {
			t := float64(i - a)
			n++
			st += t
			stt += t * t
			sy += p.y[i]
			sty += t * p.y[i]
		}
	}
	if n < leastPiece/2 {
		return piece{}
	}
	slope := (sty - st*sy/n) / (stt - st*st/n)
	level := (sy - slope*st) / n
	return p.around(a, b, level, slope)
}

// around measures what seconds [a, b) leave around a line that has the given
// level at a.
func (p series) around(a, b int, level, slope float64) piece {
	var q piece
	last := math.NaN()
	for i := a; i < b; i++ {
		if !p.speaks(i) {
			last = math.NaN()
			continue
		}
		d := p.y[i] - level - slope*float64(i-a)
		q.n++
		q.square += d * d
		if !math.IsNaN(last) {
			q.lag += d * last
			q.before += last * last
		}
		last = d
	}
	return q
}

// speaks tells whether a second has a sample of its own that counts.
func (p series) speaks(i int) bool { return p.own[i] && p.w[i] > 0 && !p.stopped[i] }
