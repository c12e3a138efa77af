package bouts

import (
	"cmp"
	"math"
	"slices"
)

// The evidence for a set is a sum of log likelihood ratios: how much more
// probable each bout's duration, level and recovery are if it repeats the
// pattern than if it came from nowhere in particular. Every term is a mixture
// with a share for rounds that break the pattern, so that one odd round costs
// something but not everything, and likeness can earn only so much: without
// that cap, "the same duration" would drag boundaries towards equality.

// like returns the log ratio for a deviation x from the pattern with the given
// spread, against a uniform prior over width, with a share odd of rounds that
// do not follow it.
func like(x, spread, width, odd float64) float64 {
	u := x / spread
	return math.Log((1-odd)*width/(spread*2.5066)*math.Exp(-u*u/2) + odd)
}

// Widths of the priors: durations from 15 s to 40 min are e^5 apart; levels
// lie within the top level.
const (
	durationWidth = 5.0
	levelWidth    = 1.0
)

// pattern is what a set repeats.
type pattern struct {
	seconds float64 // of a bout
	level   float64
	rest    float64 // s between two bouts
	low     float64 // level of the rest
}

// chain is a set of alike bouts in order of time.
type chain struct {
	members  []int // indices of candidates
	evidence float64
	pattern  pattern
}

// finder holds what the search for sets shares.
type finder struct {
	fit
	settings Settings
	all      []candidate
	taken    []bool // blocks in bouts found so far
}

// sets returns the chains found, strongest first, until nothing more is worth
// suggesting.
func (fd *finder) sets() []chain {
	var found []chain
	for len(found) < 6 {
		best := chain{evidence: evidenceOf(fd.settings.Suggest)}
		for _, t := range fd.templates() {
			if c := fd.chain(t); c.evidence > best.evidence {
				best = c
			}
		}
		if len(best.members) < 2 {
			break
		}
		found = append(found, best)
		for _, k := range best.members {
			for i := fd.all[k].a; i < fd.all[k].b; i++ {
				fd.taken[i] = true
			}
		}
	}
	return found
}

// free tells whether a candidate overlaps no bout found so far.
func (fd *finder) free(c candidate) bool {
	for i := c.a; i < c.b; i++ {
		if fd.taken[i] {
			return false
		}
	}
	return true
}

// templates proposes patterns: each candidate with the rest to its nearest
// like. Those with the most likes come first, and only so many are tried.
func (fd *finder) templates() []pattern {
	type proposal struct {
		pattern
		weight float64
	}
	var list []proposal
	for i, c := range fd.all {
		if !fd.free(c) {
			continue
		}
		p, likes := pattern{seconds: c.seconds, level: c.level, low: max(c.left, c.right)}, 0.0
		for j := range fd.all {
			o := fd.all[j]
			if j == i || o.a < c.b && c.a < o.b || !fd.free(o) {
				continue
			}
			alike := math.Exp(-8*math.Abs(math.Log(o.seconds/c.seconds)) - 15*math.Abs(o.level/c.level-1))
			likes += alike
			rest := float64(max(o.a-c.b, c.a-o.b) * fd.size)
			if alike > 0.05 && (p.rest == 0 || rest < p.rest) {
				p.rest = rest
				p.low = fd.blocks.mean(min(o.b, c.b), max(o.a, c.a))
			}
		}
		if p.rest > 0 && p.low < c.level {
			list = append(list, proposal{p, likes * math.Log(1+c.z)})
		}
	}
	slices.SortStableFunc(list, func(x, y proposal) int { return cmp.Compare(y.weight, x.weight) })
	if len(list) > fd.settings.Templates {
		list = list[:fd.settings.Templates]
	}
	out := make([]pattern, len(list))
	for i, p := range list {
		out[i] = p.pattern
	}
	return out
}

// chain finds the best chain of alike candidates for a pattern by dynamic
// programming over their ends.
func (fd *finder) chain(t pattern) chain {
	above := fd.above(t)
	type node struct {
		k     int // candidate
		score float64
		prev  int
	}
	var nodes []node
	best := -1
	for k, c := range fd.all {
		own := fd.likeness(t, c)
		if own < -4 || !fd.free(c) {
			continue
		}
		n := node{k: k, score: own, prev: -1}
		for i := len(nodes) - 1; i >= max(0, len(nodes)-60); i-- {
			p := fd.all[nodes[i].k]
			if p.b >= c.a {
				continue
			}
			if s := nodes[i].score + own + fd.link(t, p, c, above); s > n.score {
				n.score, n.prev = s, i
			}
		}
		nodes = append(nodes, n)
		if best < 0 || n.score > nodes[best].score {
			best = len(nodes) - 1
		}
	}
	c := chain{pattern: t}
	if best < 0 {
		return c
	}
	for i := best; i >= 0; i = nodes[i].prev {
		c.members = append(c.members, nodes[i].k)
	}
	slices.Reverse(c.members)
	c.evidence = nodes[best].score - fd.firstCost(t) - fd.outside(t, c.members, above)
	return c
}

// firstCost takes back what a pattern earns by resembling itself.
func (fd *finder) firstCost(t pattern) float64 {
	self := candidate{seconds: t.seconds, level: t.level, left: t.low, right: t.low, z: 4}
	return fd.likeness(t, self) + like(0, restSpread(t.rest), durationWidth, 0.3)
}

// likeness is the evidence that a candidate repeats the pattern.
func (fd *finder) likeness(t pattern, c candidate) float64 {
	// Blocks and noise limit how alike two equal bouts can look.
	duration := like(math.Log(c.seconds/t.seconds), 0.08+4/t.seconds, durationWidth, 0.25)
	spread := math.Sqrt(0.04*0.04 + 2*fd.noise/(c.seconds*t.level*t.level))
	level := like((c.level-t.level)/t.level, spread, levelWidth, 0.01)
	sure := math.Log(c.z / 4)
	return duration + level + min(1.5, max(-1.5, sure))
}

// restSpread is how alike two equal rests look, as a log ratio.
func restSpread(rest float64) float64 { return 0.12 + 4/rest }

// link is the evidence that two bouts follow each other in the pattern.
func (fd *finder) link(t pattern, p, c candidate, above []float64) float64 {
	rest := float64((c.a - p.b) * fd.size)
	e := like(math.Log(rest/t.rest), restSpread(t.rest), durationWidth, 0.3)

	// Work as hard in between that is not part of the set speaks against it.
	e -= min(8, 4*(above[c.a]-above[p.b])/t.seconds)

	// A rest much deeper than the pattern's betrays a pattern that is only a
	// ripple on the bouts; one as high as the bouts is none.
	low := fd.flank(p.b, c.a)
	depth := (t.level - low) / (t.level - t.low)
	switch {
	case depth > 2:
		e -= 3 * (depth - 2)
	case depth < 0.6:
		e -= 10 * (0.6 - depth)
	}
	return e
}

// above is the running sum of seconds at the pattern's work level that belong
// to no bout found so far, by blocks.
func (fd *finder) above(t pattern) []float64 {
	limit := t.level - 0.4*(t.level-t.low)
	sum := make([]float64, fd.blocks.n+1)
	for _, st := range fd.steps {
		for i := st.a; i < st.b; i++ {
			sum[i+1] = sum[i]
			if st.mean > limit && !fd.taken[i] {
				sum[i+1] += float64(fd.size)
			}
		}
	}
	return sum
}

// outside is the evidence against a set from work as hard before and after
// it: one interval session has little of it, a hilly ride much.
func (fd *finder) outside(t pattern, members []int, above []float64) float64 {
	first, last := fd.all[members[0]], fd.all[members[len(members)-1]]
	out := above[first.a] + above[len(above)-1] - above[last.b]
	in := 0.0
	for _, k := range members {
		in += fd.all[k].seconds
	}
	return min(15, 8*out/in)
}
