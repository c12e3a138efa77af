package bouts

import "slices"

// On the road a bout may have been found without its first or last minutes,
// where a long dip or a surge in the rest made steps of their own. Before its
// boundaries are placed to the second, each is moved to where, between the
// levels of the whole bout and of what is next to it, the passage from one to the
// other fits best.
const (
	// recasts is how often that is done: levels follow boundaries.
	recasts = 2

	// A boundary moves at most recastIn of the bout inwards, recastOut of it
	// outwards, and half of the way to the next bout.
	recastIn, recastOut = 0.3, 0.5

	// The level outside is that of half as long as the bout, within these
	// bounds in seconds.
	leastFlank, mostFlank = 60.0, 300.0

	// leastGain is the gain in fit below which a boundary stays, in seconds of
	// one level taken for the other.
	leastGain = 3.0

	// A standstill of up to longestCoast seconds counts for no more than
	// coastCounts: how long one must wait says nothing of the work.
	longestCoast, coastCounts = 45, 5.0
)

// recast moves the boundaries of confirmed bouts by seconds to minutes, and
// drops possible ones that they then cover.
func (f *finding) recast(p series) {
	q := p.lightened()
	var sure []*member
	for k := range f.bouts {
		// The last block may reach beyond the session.
		f.bouts[k].End = min(f.bouts[k].End, float64(len(p.y)))
		if f.bouts[k].Confidence == Confirmed {
			sure = append(sure, &f.bouts[k])
		}
	}
	for range recasts {
		previous := 0.0
		for k, b := range sure {
			next := float64(len(p.y))
			if k+1 < len(sure) {
				next = sure[k+1].Start
			}
			start := q.recastStart(b, previous)
			b.End = q.recastEnd(b, next)
			b.Start, previous = start, b.End
		}
	}
	covering := make([]Bout, len(sure))
	for k, b := range sure {
		covering[k] = b.Bout
	}
	f.bouts = slices.DeleteFunc(f.bouts, func(b member) bool {
		return b.Confidence != Confirmed && slices.ContainsFunc(covering, func(o Bout) bool {
			return o.Start < b.End && b.Start < o.End
		})
	})
}

// recastStart is where a bout begins, after the end of the previous one.
func (p series) recastStart(b *member, previous float64) float64 {
	d := b.Duration()
	window := min(mostFlank, max(leastFlank, d/2))
	out := p.mean(int(max(previous, b.Start-window)), int(b.Start))
	outermost := b.Start - min((b.Start-previous)/2, recastOut*d)
	return p.passage(b.Start, outermost, b.Start+recastIn*d, out, p.mean(int(b.Start), int(b.End)))
}

// recastEnd is where it ends, before the start of the next one.
func (p series) recastEnd(b *member, next float64) float64 {
	d := b.Duration()
	window := min(mostFlank, max(leastFlank, d/2))
	out := p.mean(int(b.End), int(min(next, b.End+window)))
	outermost := b.End + min((next-b.End)/2, recastOut*d)
	return p.passage(b.End, outermost, b.End-recastIn*d, out, p.mean(int(b.Start), int(b.End)))
}

// passage is where, between two times outside a bout and within it, the passage
// from the level outside to the one within fits best; at when no other place is
// better by leastGain.
func (p series) passage(at, outermost, innermost, out, in float64) float64 {
	middle, half := (in+out)/2, (in-out)/2
	if !(half > 0) {
		return at
	}
	outer, more := p.walk(int(at), int(outermost), middle, half)
	inner, most := p.walk(int(at), int(innermost), middle, -half)
	switch {
	case max(more, most) < leastGain:
		return at
	case more > most:
		return float64(outer)
	}
	return float64(inner)
}

// walk goes from one second towards another as long as what it meets lies, on
// the whole, on the side of the middle that half points to, and returns where
// there was most of it and how much, in seconds. Beyond longestDip seconds of the
// other level another bout or rest begins.
func (p series) walk(from, to int, middle, half float64) (int, float64) {
	sum, most, best := 0.0, 0.0, from
	way, first := direction(from, to)
	for i := from; i != to && sum > most-longestDip; i += way {
		if sum += p.likeness(i+first, middle, half); sum > most {
			most, best = sum, i+way
		}
	}
	return best, most
}

// direction is how to step from one boundary between seconds to another, and
// which second is stepped over, from the boundary.
func direction(from, to int) (way, first int) {
	if to < from {
		return -1, -1
	}
	return 1, 0
}

// likeness is how near a second is to the level that lies half above the middle,
// from 1 to -1 and no more: neither a sprint nor a standstill outweighs what was
// held.
func (p series) likeness(i int, middle, half float64) float64 {
	return p.w[i] * max(-1, min(1, (p.y[i]-middle)/half))
}

// mean is the weighted mean of seconds [a, b), NaN when nothing weighs.
func (p series) mean(a, b int) float64 {
	sum, weight := 0.0, 0.0
	for i := a; i < b; i++ {
		sum += p.w[i] * p.y[i]
		weight += p.w[i]
	}
	return sum / weight
}

// lightened is the series with short standstills counting for less.
func (p series) lightened() series {
	q := p
	q.w = slices.Clone(p.w)
	for i := 0; i < len(q.y); i++ {
		j := i
		for j < len(q.y) && q.y[j] <= 0 && q.w[j] > 0 && !q.stopped[j] {
			j++
		}
		if d := j - i; d > coastCounts && d <= longestCoast {
			for k := i; k < j; k++ {
				q.w[k] = coastCounts / float64(d)
			}
		}
		i = max(i, j)
	}
	return q
}
