package bouts

import (
	"cmp"
	"math"
	"slices"
)

// Find returns the bouts of a session in order of time, none overlapping
// another. It reads nothing but its input, which it leaves as it is, and the
// same input always gives the same bouts.
func Find(in Input, s Settings) []Bout {
	p := prepare(in, s)
	if in.Signal == HeartRate {
		found := search(demandOf(p), rateWeights, nil, nil, s)
		found.order()
		found.placeByRate(p)
		return found.plain()
	}
	heart := newWitness(in, s)
	found := search(p, outputWeights, in.Altitude, heart, s)
	if q, any := p.withoutStops(longestStop(in.Signal, s)); any {
		// Zeros are either rests or coasting; the reading under which the
		// session has the clearer structure is taken.
		if other := search(q, outputWeights, in.Altitude, heart, s); other.evidence > found.evidence {
			found, p = other, q
		}
	}
	found.order()
	found.place(p)
	if in.Signal == OxygenCost && in.Altitude != nil {
		found.widen(slopeHalf)
	}
	return found.plain()
}

// slopeHalf is what is not known of a boundary, as a half-width in seconds,
// where the cost rests on a grade that was read off the altitude over some tens
// of metres.
const slopeHalf = 2.5

// longestStop is how long a zero may last and still be part of a bout.
func longestStop(signal Signal, s Settings) int {
	if signal == Power {
		return s.Coast
	}
	return s.Standstill
}

// member is a bout as a member of a set.
type member struct {
	Bout
	set int
}

// finding is what one reading of a session gives.
type finding struct {
	bouts    []member
	evidence float64 // of the confirmed sets together
	fit      fit
}

// order sorts the bouts by time, and parts those that were both settled on the
// same seconds in the middle of them.
func (f *finding) order() {
	slices.SortFunc(f.bouts, func(a, b member) int { return cmp.Compare(a.Start, b.Start) })
	for k := 1; k < len(f.bouts); k++ {
		if a, b := &f.bouts[k-1], &f.bouts[k]; b.Start < a.End {
			middle := (b.Start + a.End) / 2
			a.End, b.Start = middle, middle
		}
	}
}

// plain are the bouts as they are reported.
func (f *finding) plain() []Bout {
	if len(f.bouts) == 0 {
		return nil
	}
	out := make([]Bout, len(f.bouts))
	for k, b := range f.bouts {
		out[k] = b.Bout
	}
	return out
}

// sets lists the places of the bouts of each set.
func (f *finding) sets() [][]int {
	var sets [][]int
	for k, b := range f.bouts {
		for len(sets) <= b.set {
			sets = append(sets, nil)
		}
		sets[b.set] = append(sets[b.set], k)
	}
	return sets
}

// edges lists the boundaries of the bouts in order, start and end in turn,
// with the room around each; n is the length of the session in seconds.
func (f *finding) edges(n int) []edge {
	out := make([]edge, 0, 2*len(f.bouts))
	previous := 0.0
	for k, b := range f.bouts {
		next := float64(n)
		if k+1 < len(f.bouts) {
			next = f.bouts[k+1].Start
		}
		out = append(out,
			edge{at: b.Start, before: b.Start - previous, after: b.Duration(), begins: true},
			edge{at: b.End, before: b.Duration(), after: next - b.End})
		previous = b.End
	}
	return out
}

// place moves every boundary to where the values around it say.
func (f *finding) place(p series) {
	f.recast(p)
	e := newEdges(p, &f.fit, f.bouts)
	for k, at := range e.placeAll(f.edges(len(p.y)), f.sets()) {
		f.move(k, at, len(p.y))
	}
}

// widen adds an independent uncertainty to that of every boundary.
func (f *finding) widen(half float64) {
	for k := range f.bouts {
		b := &f.bouts[k].Bout
		b.StartHalf, b.EndHalf = math.Hypot(b.StartHalf, half), math.Hypot(b.EndHalf, half)
	}
}

// placeByRate does the same by the kinetics of heart rate.
func (f *finding) placeByRate(p series) {
	var all []rateEdge
	for k, g := range f.edges(len(p.y)) {
		all = append(all, rateEdge{edge: g, rising: k%2 == 0})
	}
	for k, at := range (rateEdges{p}).placeAll(all) {
		f.move(k, at, len(p.y))
	}
}

// move sets boundary k, a bout's start when even and its end when odd. No
// boundary passes the one before it.
func (f *finding) move(k int, to placed, n int) {
	b := &f.bouts[k/2].Bout
	at := min(float64(n), to.at)
	if k%2 == 0 {
		earliest := 0.0
		if k > 0 {
			earliest = f.bouts[k/2-1].End
		}
		b.Start, b.StartHalf = max(earliest, at), to.half
	} else {
		b.End, b.EndHalf = max(b.Start+1, at), to.half
	}
}

// search looks for sets, then for lone efforts, in one reading of the signal.
func search(p series, w weights, altitude []float64, heart *witness, s Settings) finding {
	f := newFit(p)
	fd := newFinder(f, w, altitude, s)
	fd.witness = heart
	chains := fd.sets()
	for k := range chains {
		if fd.minor(chains[k], chains) {
			chains[k].score = min(chains[k].score, 0.99*s.Accept)
		}
	}
	if c, ok := fd.lone(); ok {
		// What is only possible gives way to what is confirmed, to nothing else.
		if others := fd.apart(chains, c); len(others) == len(chains) || c.score >= s.Accept {
			chains = append(others, c)
		}
	}
	out := finding{fit: f}
	for set, c := range chains {
		confidence := Possible
		if c.score >= s.Accept {
			confidence = Confirmed
			out.evidence += max(0, c.evidence) + 1
		}
		for _, b := range fd.boutsOf(c) {
			b.Confidence, b.Score = confidence, c.score
			out.bouts = append(out.bouts, member{Bout: b, set: set})
		}
	}
	return out
}

// boutsOf are a chain's members as bouts, their boundaries on whole blocks.
func (fd *finder) boutsOf(c chain) []Bout {
	list := make([]Bout, len(c.members))
	low := c.pattern.low
	if len(c.members) > 1 {
		low = fd.restLevel(c.members)
	}
	for i, k := range c.members {
		a, b := fd.settled(&fd.all[k], low)
		list[i] = Bout{Start: float64(a * fd.size), End: float64(b * fd.size)}
	}
	return list
}

// apart returns the chains that share no time with c.
func (fd *finder) apart(chains []chain, c chain) []chain {
	others := make([]chain, 0, len(chains)+1)
	for _, o := range chains {
		shared := slices.ContainsFunc(o.members, func(i int) bool {
			return slices.ContainsFunc(c.members, func(k int) bool { return fd.overlap(i, k) })
		})
		if !shared {
			others = append(others, o)
		}
	}
	return others
}

// warmUpShare is how much of a set's work may lie before it in another set
// that is still part of the warm-up.
const warmUpShare = 0.25

// warmUpWork is a set so small, in seconds, that it is one in any case.
const warmUpWork = 100

// minorLevel is the level of a set, relative to a larger one of the same
// session, below which it is easier riding that happened to look alike.
const minorLevel = 0.8

// minor tells whether a set is only an accompaniment to a larger one of the
// session: part of the warm-up (little work, all of it before the larger set
// begins), or work well below it.
func (fd *finder) minor(c chain, all []chain) bool {
	for _, o := range all {
		if fd.work(o) <= fd.work(c) || o.score < fd.settings.Accept {
			continue
		}
		before := fd.all[c.members[len(c.members)-1]].b <= fd.all[o.members[0]].a
		little := fd.work(c) < max(warmUpShare*fd.work(o), warmUpWork)
		if before && little || c.pattern.level < minorLevel*o.pattern.level {
			return true
		}
	}
	return false
}

// work is a chain's time in bouts, in seconds.
func (fd *finder) work(c chain) float64 {
	sum := 0.0
	for _, k := range c.members {
		sum += fd.all[k].seconds
	}
	return sum
}
