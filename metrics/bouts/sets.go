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

// durationWidth is the width of the prior on the logarithm of a duration.
// Bouts from 15 s to 40 min span e^5, but of several nested candidates the
// best fitting one is taken, which makes a chance likeness more probable.
const durationWidth = 2.5

// Tightness is how closely a set repeats its pattern, as the spread of the
// logarithms of its durations and rests, and of its levels as a share. A programmed session is
// strict, one done by feel or by the road is loose, and in a ladder or a
// pyramid the rests follow the work; all three readings are tried.
type tightness struct{ duration, rest, level float64 }

var (
	strict = tightness{duration: 0.08, rest: 0.12, level: 0.05}
	ladder = tightness{duration: 0.50, rest: 0.15, level: 0.08}
	loose  = tightness{duration: 0.30, rest: 0.40, level: 0.08}
)

// pattern is what a set repeats.
type pattern struct {
	seconds float64 // of a bout
	level   float64
	rest    float64 // s between two bouts
	low     float64 // level of the rest
	tight   tightness
}

// limit is the level that parts work from rest.
func (t pattern) limit() float64 { return t.level - 0.4*(t.level-t.low) }

// chain is a set of alike bouts in order of time.
type chain struct {
	members  []int   // indices of candidates
	regular  float64 // evidence of the repetition alone
	evidence float64
	score    float64
	pattern  pattern
}

// finder holds what the search for sets shares.
type finder struct {
	fit
	settings Settings
	weights  weights
	altitude []float64 // m, nil when unknown
	all      []candidate
	taken    []bool // blocks in bouts found so far

	// explained are the blocks in bouts of confirmed sets.
	explained []bool
}

// leastEvidence is the evidence below which a chain is not worth scoring.
const leastEvidence = -6.0

// mostSets bounds the sets of one session.
const mostSets = 6

// Of several chains the one is taken that is both complete and likely to be a
// set. Beyond sureOdds likelier makes no difference, and completeness, which
// the evidence measures, decides alone.
const (
	evidenceShare = 0.6
	sureOdds      = 2.5
)

// sets returns the chains worth suggesting, strongest first.
func (fd *finder) sets() []chain {
	var found []chain
	for range mostSets {
		best, bestWorth := chain{}, math.Inf(-1)
		for _, t := range fd.templates() {
			c := fd.chain(t)
			if len(c.members) < 2 || c.evidence < leastEvidence {
				continue
			}
			odds := fd.weights.odds(fd.describe(c, fd.above(t)))
			if c.score = probability(odds); c.score < fd.settings.Suggest {
				continue
			}
			if worth := evidenceShare*c.evidence + min(sureOdds, odds); worth > bestWorth {
				best, bestWorth = c, worth
			}
		}
		if len(best.members) == 0 {
			break
		}
		fd.take(best, best.score >= fd.settings.Accept)
		found = append(found, best)
	}
	return found
}

// Steps of a stair are of about one length, and each is a step up.
const (
	stairLeast, stairMost = 0.6, 1.7 // length of the step before, over the block's
	stairRise             = 0.1      // of its level
)

// topsStairs tells whether a candidate is only the last step of a session
// that rises in steps.
func (fd *finder) topsStairs(m candidate) bool {
	for k := 1; k+1 < len(fd.steps); k++ {
		if fd.steps[k+1].a < m.a {
			continue
		}
		// The step before the block, and the one before that.
		below, before := fd.steps[k-1], fd.steps[k]
		ratio := float64((before.b-before.a)*fd.size) / m.seconds
		return ratio > stairLeast && ratio < stairMost && below.mean < (1-stairRise)*before.mean
	}
	return false
}

// take marks a chain's time as spoken for. Only the work of a confirmed set is
// accounted for: other work as hard still speaks against the next set.
func (fd *finder) take(c chain, confirmed bool) {
	for _, k := range c.members {
		for i := fd.all[k].a; i < fd.all[k].b; i++ {
			fd.taken[i] = true
			fd.explained[i] = confirmed
		}
	}
}

// lone returns the most convincing single block that is left, if any.
func (fd *finder) lone() (chain, bool) {
	var best chain
	for k, m := range fd.all {
		if m.seconds < shortestLone || !fd.free(m) {
			continue
		}
		c := chain{members: []int{k}}
		c.pattern = pattern{seconds: m.seconds, level: m.level, low: max(m.left, m.right)}
		if fd.topsStairs(m) {
			continue
		}
		x := fd.describe(c, fd.above(c.pattern))
		x.sharp = fd.bluntest(m)
		if c.score = loneScore(x); c.score > best.score {
			best = c
		}
	}
	return best, best.score >= fd.settings.Suggest
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
	out := make([]pattern, 0, 3*len(list))
	for _, p := range list {
		for _, p.tight = range []tightness{strict, ladder, loose} {
			out = append(out, p.pattern)
		}
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
		own := fd.likeness(t, c, above)
		if own < -6 || !fd.free(c) {
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
	c.members = fd.withoutStrays(c.members)
	c.regular = nodes[best].score - fd.firstCost(t)
	c.evidence = c.regular - fd.outside(t, c.members, above)
	return c
}

// withoutStrays drops an opener that happens to look like a bout of the set:
// a first member that is alone by far, or one much shorter than the rest
// with a recovery out of proportion.
func (fd *finder) withoutStrays(members []int) []int {
	if len(members) < 3 {
		return members
	}
	var work, rest []float64
	for i, k := range members {
		work = append(work, fd.all[k].seconds)
		if i > 0 {
			rest = append(rest, float64((fd.all[k].a-fd.all[members[i-1]].b)*fd.size))
		}
	}
	usualWork, usualRest := median(work[1:]), median(rest[1:])
	far := rest[0] > strayRest*slices.Max(rest[1:]) && rest[0] > strayLeast
	ratio := math.Abs(math.Log(rest[0] / work[0] * usualWork / usualRest))
	odd := ratio > strayOdd && math.Abs(math.Log(rest[0]/usualRest)) > strayOdd
	short := work[0] < strayShare*usualWork
	tiny := work[0] < strayTiny*usualWork && ratio > strayOdd
	if far || tiny || short && odd {
		return members[1:]
	}
	return members
}

// Limits of what is a stray: an opener is a minute at most before bouts of
// several, some minutes ahead of them. The first rounds of a pyramid are short
// too, but their recoveries are in keeping.
const (
	strayRest  = 3.0   // times the longest other rest
	strayLeast = 180.0 // s
	strayShare = 0.6   // of the usual bout
	strayTiny  = 0.35  // of the usual bout
	strayOdd   = 0.35  // log ratio
)

// median of a sample, which is left as it is; the lower of two middle values.
func median(x []float64) float64 { return medianOf(slices.Clone(x)) }

// medianOf is the same, but sorts the sample.
func medianOf(x []float64) float64 {
	slices.Sort(x)
	return x[(len(x)-1)/2]
}

// firstCost takes back what a pattern earns by resembling itself.
func (fd *finder) firstCost(t pattern) float64 {
	return t.likeDuration(t.seconds) + t.likeRest(t.rest, t.seconds)
}

// likeDuration is the evidence in a bout's length. Blocks and noise limit how
// alike two equal bouts can look.
func (t pattern) likeDuration(seconds float64) float64 {
	return like(math.Log(seconds/t.seconds), t.tight.duration+4/t.seconds, durationWidth, 0.2)
}

// likeRest is the evidence in the length of a rest after a bout of the given
// length: rests may be equal, or in proportion to the work.
func (t pattern) likeRest(seconds, work float64) float64 {
	equal := math.Log(seconds / t.rest)
	inProportion := equal - math.Log(work/t.seconds)
	least := min(math.Abs(equal), math.Abs(inProportion))
	return like(least, t.tight.rest+4/t.rest, durationWidth, 0.3)
}

// likeness is the evidence that a candidate repeats the pattern.
func (fd *finder) likeness(t pattern, c candidate, above []float64) float64 {
	e := t.likeDuration(c.seconds)

	// A like level earns nothing, since any session has one level that it
	// mostly keeps to; an unlike one counts against.
	spread := math.Sqrt(t.tight.level*t.tight.level + 2*fd.noise/(c.seconds*t.level*t.level))
	e += like((c.level-t.level)/t.level, spread, 2.5066*spread, 0.005)

	// Bouts that are clear of the noise count for more.
	e += min(1.5, max(-1.5, math.Log(c.z/4)))

	// Rest within a bout speaks against its being one.
	below := c.seconds - (above[c.b] - above[c.a])
	return e - min(8, 6*below/c.seconds)
}

// link is the evidence that two bouts follow each other in the pattern.
func (fd *finder) link(t pattern, p, c candidate, above []float64) float64 {
	rest := float64((c.a - p.b) * fd.size)
	e := t.likeRest(rest, p.seconds)

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
// to no confirmed set, by blocks.
func (fd *finder) above(t pattern) []float64 {
	limit := t.limit()
	sum := make([]float64, fd.blocks.n+1)
	for _, st := range fd.steps {
		for i := st.a; i < st.b; i++ {
			sum[i+1] = sum[i]
			if st.mean > limit && !fd.explained[i] {
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
