package bouts

import (
	"math"
	"slices"
)

// chain is a set of alike bouts in order of time.
type chain struct {
	members  []int   // indices of candidates
	regular  float64 // evidence of the repetition alone
	evidence float64
	odds     float64 // logarithm of the odds that it is a set
	score    float64 // the same as a probability
	pattern  pattern
}

// node is one candidate as the end of a chain.
type node struct {
	k     int // candidate
	score float64
	prev  int // node before it, -1 when it is the first

	// Of the candidate, again, to be close at hand.
	end        int
	logSeconds float64
}

const (
	// leastLikeness is the evidence below which a candidate has nothing to
	// do with a pattern.
	leastLikeness = -6.0

	// longestLook bounds the candidates before one that are tried as its
	// predecessor, and longestRest the rest between two bouts of a set, in
	// seconds and as a multiple of the pattern's; an hour parts sets in any case.
	longestLook  = 60
	longestRest  = 900.0
	longestRests = 8.0
)

// chain finds the best chain of alike candidates for a pattern by dynamic
// programming over their ends.
func (fd *finder) chain(j *judge) chain {
	nodes := fd.nodes[:0]
	farthest := min(len(logs)-1, int(max(longestRest, longestRests*j.rest))/fd.size)
	best := -1
	for k := range fd.all {
		c := &fd.all[k]
		if !fd.free(c) {
			continue
		}
		own := j.likeness(c)
		if own < leastLikeness {
			continue
		}
		n := node{k: k, score: own, prev: -1, end: c.b, logSeconds: c.logSeconds}
		gain := own + j.between.gain
		first := max(0, len(nodes)-longestLook)
		for i := len(nodes) - 1; i >= first; i-- {
			p := &nodes[i]
			// Candidates are in order of their ends: those before are farther.
			if c.a-p.end > farthest {
				break
			}
			// What no link can make up for need not be computed.
			if p.end >= c.a || p.score+gain <= n.score {
				continue
			}
			s := p.score + own + j.rhythm(c.a-p.end, p.logSeconds)
			if s <= n.score {
				continue
			}
			if s += j.objection(&fd.all[p.k], c); s > n.score {
				n.score, n.prev = s, i
			}
		}
		nodes = append(nodes, n)
		if best < 0 || n.score > nodes[best].score {
			best = len(nodes) - 1
		}
	}
	fd.nodes = nodes
	return fd.collect(j, best)
}

// collect follows a chain back from its last node.
func (fd *finder) collect(j *judge, last int) chain {
	c := chain{pattern: j.pattern}
	if last < 0 {
		return c
	}
	for i := last; i >= 0; i = fd.nodes[i].prev {
		c.members = append(c.members, fd.nodes[i].k)
	}
	slices.Reverse(c.members)
	c.regular = fd.nodes[last].score - j.firstCost()
	c.members = fd.withoutStray(c.members)
	c.evidence = c.regular - j.outside(c.members)
	return c
}

// Limits of what is a stray: an opener is a minute at most before bouts of
// several, some minutes ahead of them. The first rounds of a pyramid are short
// too, but their recoveries are in keeping.
const (
	strayRest  = 3.0  // times the longest other rest
	strayLeast = 90.0 // s
	strayShare = 0.6  // of the usual bout
	strayTiny  = 0.45 // of the usual bout
	strayOdd   = 0.35 // log ratio
)

// withoutStray drops an opener that happens to look like a bout of the set:
// a first member that is alone by far, or one much shorter than the rest
// with a recovery out of proportion.
func (fd *finder) withoutStray(members []int) []int {
	if len(members) < 3 {
		return members
	}
	work, rest := make([]float64, len(members)), make([]float64, len(members)-1)
	for i, k := range members {
		work[i] = fd.all[k].seconds
		if i > 0 {
			rest[i-1] = float64((fd.all[k].a - fd.all[members[i-1]].b) * fd.size)
		}
	}
	firstWork, firstRest := work[0], rest[0]
	far := firstRest > strayRest*slices.Max(rest[1:]) && firstRest > strayLeast
	ratios := make([]float64, len(rest)-1)
	for i := range ratios {
		ratios[i] = rest[i+1] / work[i+1]
	}
	usualWork, usualRest := medianOf(work[1:]), medianOf(rest[1:])
	ratio := math.Abs(math.Log(firstRest / firstWork / medianOf(ratios)))
	odd := ratio > strayOdd && math.Abs(math.Log(firstRest/usualRest)) > strayOdd
	short := firstWork < strayShare*usualWork
	tiny := firstWork < strayTiny*usualWork && ratio > strayOdd
	if far || tiny || short && odd {
		return members[1:]
	}
	return members
}
