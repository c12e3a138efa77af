package bouts

import (
	"cmp"
	"slices"
)

// Find returns the bouts of a session in order of time, none overlapping
// another. It reads nothing but its input, which it leaves as it is, and the
// same input always gives the same bouts.
func Find(in Input, s Settings) []Bout {
	p := prepare(in, s)
	found := search(p, s)
	if q, any := p.withoutStops(longestStop(in.Signal, s)); any {
		// Zeros are either rests or coasting; the reading under which the
		// session has the clearer structure is taken.
		if other := search(q, s); other.evidence > found.evidence {
			found, p = other, q
		}
	}
	found.place(p)
	return found.bouts
}

// longestStop is how long a zero may last and still be part of a bout.
func longestStop(signal Signal, s Settings) int {
	if signal == Power {
		return s.Coast
	}
	return s.Standstill
}

// finding is what one reading of a session gives.
type finding struct {
	bouts    []Bout
	evidence float64 // of the confirmed sets together
	fit      fit
}

// place moves every boundary to where the values around it say, and orders
// the bouts.
func (f *finding) place(p series) {
	slices.SortFunc(f.bouts, func(a, b Bout) int { return cmp.Compare(a.Start, b.Start) })
	e := newEdges(p, &f.fit)
	previous := 0.0
	for k := range f.bouts {
		b := &f.bouts[k]
		next := float64(len(p.y))
		if k+1 < len(f.bouts) {
			next = f.bouts[k+1].Start
		}
		length := b.End - b.Start
		end := b.End
		start := e.place(edge{at: b.Start, before: b.Start - previous, after: length})
		stop := e.place(edge{at: b.End, before: length, after: next - b.End})
		b.Start, b.StartHalf = max(0, start.at), start.half
		b.End, b.EndHalf = min(stop.at, float64(len(p.y))), stop.half
		previous = end
	}
}

// search looks for sets, then for a lone block, in one reading of the signal.
func search(p series, s Settings) finding {
	f := newFit(p)
	fd := finder{fit: f, settings: s, taken: make([]bool, f.blocks.n)}
	fd.all = f.candidates(s)
	chains := fd.sets()
	for _, k := range keepClear(chains, fd) {
		chains[k].score = min(chains[k].score, s.Accept-0.01)
	}
	if c, ok := fd.lone(); ok {
		chains = append(chains, c)
	}
	out := finding{fit: f}
	for _, c := range chains {
		confidence := Possible
		if c.score >= s.Accept {
			confidence = Confirmed
			out.evidence += max(0, c.evidence) + 1
		}
		for _, k := range c.members {
			out.bouts = append(out.bouts, Bout{
				Start:      float64(fd.all[k].a * f.size),
				End:        float64(fd.all[k].b * f.size),
				Confidence: confidence,
				Score:      c.score,
			})
		}
	}
	return out
}

// warmUpShare is how much of a set's work may lie before it in another set
// that is still part of the warm-up.
const warmUpShare = 0.25

// warmUpWork is a set so small, in seconds, that it is one in any case.
const warmUpWork = 100

// keepClear returns the sets that only open a larger one: little work, all of
// it before the larger set begins.
func keepClear(chains []chain, fd finder) []int {
	var openers []int
	for i, c := range chains {
		for _, o := range chains {
			before := fd.all[c.members[len(c.members)-1]].b <= fd.all[o.members[0]].a
			little := fd.work(c) < warmUpShare*fd.work(o) || fd.work(c) < min(warmUpWork, fd.work(o))
			if before && little {
				openers = append(openers, i)
				break
			}
		}
	}
	return openers
}

// work is a chain's time in bouts, in seconds.
func (fd *finder) work(c chain) float64 {
	sum := 0.0
	for _, k := range c.members {
		sum += fd.all[k].seconds
	}
	return sum
}
