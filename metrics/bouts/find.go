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
	out := found.bouts
	slices.SortFunc(out, func(a, b Bout) int { return cmp.Compare(a.Start, b.Start) })
	return out
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
}

// search looks for sets in one reading of the signal.
func search(p series, s Settings) finding {
	f := newFit(p)
	fd := finder{fit: f, settings: s, taken: make([]bool, f.blocks.n)}
	fd.all = f.candidates(s)
	var out finding
	for _, c := range fd.sets() {
		score := scoreOf(c.evidence)
		confidence := Possible
		if score >= s.Accept {
			confidence = Confirmed
			out.evidence += c.evidence
		}
		for _, k := range c.members {
			out.bouts = append(out.bouts, Bout{
				Start:      float64(fd.all[k].a * f.size),
				End:        float64(fd.all[k].b * f.size),
				Confidence: confidence,
				Score:      score,
			})
		}
	}
	return out
}
