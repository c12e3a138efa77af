package bouts

import (
	"cmp"
	"math"
	"slices"
)

// Efforts that stand alone: a block, or the few maximal efforts of a test day,
// each of another length and level. No repetition bears them out, so each must
// be plain in every other way.
const (
	// A block that is the only one of its session begins to count at
	// shortestLone seconds: shorter ones are surges, climbs and sprints. From
	// surelyLone on its length speaks no longer against it.
	shortestLone, surelyLone = 240, 480

	// shortestEffort is the least length of one of several, and mostEfforts
	// how many of them a client can do in a day: more is a ragged session.
	shortestEffort = 100
	mostEfforts    = 4

	// climbDoubt is the share of its score that an effort loses for being a
	// climb.
	climbDoubt = 0.7
)

// effort is a candidate that is plain but for what else the session holds.
type effort struct {
	chain
	plain float64 // 0 to 1
}

// lone returns the blocks and efforts outside any confirmed set, as one chain
// with the score that they share.
func (fd *finder) lone() (chain, bool) {
	all := fd.efforts()
	if len(all) > 1 && len(all) <= mostEfforts {
		if c := fd.together(all); c.score >= fd.settings.Accept {
			return c, true
		}
	}
	var best chain
	for _, e := range all {
		c := fd.together([]effort{e})
		c.score *= pass(e.pattern.seconds, shortestLone, surelyLone)
		if c.score > best.score {
			best = c
		}
	}
	return best, best.score >= fd.settings.Suggest
}

// efforts returns the plainest candidates, none overlapping another.
func (fd *finder) efforts() []effort {
	var all []effort
	for k := range fd.all {
		m := &fd.all[k]
		if m.seconds < shortestEffort || m.open() || !fd.unset(m) || fd.topsStairs(m) {
			continue
		}
		c := chain{members: []int{k}}
		c.pattern = pattern{seconds: m.seconds, level: m.level, low: max(m.left, m.right)}
		if plain := fd.plainness(c); plain >= fd.settings.Suggest {
			all = append(all, effort{chain: c, plain: plain})
		}
	}
	slices.SortStableFunc(all, func(x, y effort) int {
		return cmp.Or(cmp.Compare(y.plain, x.plain), cmp.Compare(fd.all[y.members[0]].z, fd.all[x.members[0]].z))
	})
	kept := all[:0]
	for _, e := range all {
		if !slices.ContainsFunc(kept, func(o effort) bool { return fd.overlap(e.members[0], o.members[0]) }) {
			kept = append(kept, e)
		}
	}
	slices.SortFunc(kept, func(x, y effort) int { return cmp.Compare(x.members[0], y.members[0]) })
	return kept
}

// unset tells whether a candidate overlaps no confirmed set.
func (fd *finder) unset(c *candidate) bool { return fd.explained[c.b] == fd.explained[c.a] }

// overlap tells whether two candidates share time.
func (fd *finder) overlap(i, k int) bool {
	return fd.all[i].a < fd.all[k].b && fd.all[k].a < fd.all[i].b
}

// together joins efforts to one chain and scores it by the least plain, and by
// the work as hard as the easiest of them that none of them accounts for.
func (fd *finder) together(all []effort) chain {
	out := chain{pattern: all[0].pattern, score: 1}
	in, limit := 0.0, all[0].pattern.limit()
	for _, e := range all {
		out.members = append(out.members, e.members...)
		out.score = min(out.score, e.plain)
		in += e.pattern.seconds
		limit = min(limit, e.pattern.limit())
	}
	hard := fd.above(limit)
	elsewhere := hard.between(0, fd.blocks.n)
	for _, k := range out.members {
		elsewhere -= hard.between(fd.all[k].a, fd.all[k].b)
	}
	// A climb is ridden evenly because it is even: it remains a question.
	out.score *= pass(elsewhere/in, 0.3, 0.1) * (1 - climbDoubt*fd.uphill(out.members))
	return out
}

// Steps of a stair are of about one length, and each is about as high a step
// up as the one before it.
const (
	stairLeast, stairMost = 0.3, 3.5 // length of the step before, over the block's
	stairRise             = 0.1      // of its level
	stairJump             = 2.5      // rise to the block, over the one before
)

// topsStairs tells whether a candidate is only the last step of a session
// that rises in steps.
func (fd *finder) topsStairs(m *candidate) bool {
	steps := fd.steps
	if fd.coarse != nil {
		// Noise makes no stairs.
		steps = fd.coarse
	}
	// The step before the block, of which a ramp between two steps is none.
	k := len(steps) - 1
	for k >= 0 && (steps[k].b > m.a+longestRamp/fd.size || (steps[k].b-steps[k].a)*fd.size <= longestRamp) {
		k--
	}
	// What is about one level is one step.
	first := k
	for first > 0 && math.Abs(steps[first-1].mean-steps[k].mean) < stairRise/2*steps[k].mean {
		first--
	}
	if first <= 0 {
		return false
	}
	before, below := steps[k], steps[first-1]
	ratio := float64((before.b-steps[first].a)*fd.size) / m.seconds
	return ratio > stairLeast && ratio < stairMost && below.mean < (1-stairRise)*before.mean &&
		m.level-before.mean < stairJump*(before.mean-below.mean)
}
