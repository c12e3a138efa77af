package bouts

// shortestLone is the least length in seconds of a bout that stands alone:
// shorter ones are surges, climbs and sprints.
const shortestLone = 240

// lone returns the most convincing single block that is left, if any.
func (fd *finder) lone() (chain, bool) {
	var best chain
	for k := range fd.all {
		m := &fd.all[k]
		if m.seconds < shortestLone || !fd.free(m) || fd.topsStairs(m) {
			continue
		}
		c := chain{members: []int{k}}
		c.pattern = pattern{seconds: m.seconds, level: m.level, low: max(m.left, m.right)}
		x := fd.describe(c)
		x.sharp = fd.bluntest(m)
		if c.score = loneScore(x); c.score > best.score {
			best = c
		}
	}
	return best, best.score >= fd.settings.Suggest
}

// Steps of a stair are of about one length, and each is a step up.
const (
	stairLeast, stairMost = 0.6, 1.7 // length of the step before, over the block's
	stairRise             = 0.1      // of its level
)

// topsStairs tells whether a candidate is only the last step of a session
// that rises in steps.
func (fd *finder) topsStairs(m *candidate) bool {
	if m.a == 0 {
		return false
	}
	k := fd.stepOf[m.a-1]
	// A ramp between two steps may be one of its own.
	for k > 0 && (fd.steps[k].b-fd.steps[k].a)*fd.size <= longestRamp {
		k--
	}
	if k == 0 {
		return false
	}
	// The step before the block, and the one before that.
	before, below := fd.steps[k], fd.steps[k-1]
	ratio := float64((before.b-before.a)*fd.size) / m.seconds
	return ratio > stairLeast && ratio < stairMost && below.mean < (1-stairRise)*before.mean
}
