package bouts

import (
	"math"
	"slices"
)

// A set that keeps to a clock tells where a round must be that the staircase
// missed: one period before the first, after the last, or in a gap of two
// periods. There less is asked of it than of a round that comes from nowhere.
const (
	// leastClocked rounds are a clock when the periods between them differ by
	// no more than clockSpread, as a share.
	leastClocked = 3
	clockSpread  = 0.2

	// A missing round may be off its time by clockSlack periods. Its level and
	// its contrast must reach leastLevel and leastRecovered of the set's, and
	// stand leastRecoveredZ standard errors clear of the noise.
	clockSlack      = 0.12
	leastLevel      = 0.75
	leastRecovered  = 0.55
	leastRecoveredZ = 3.5

	// mostRecovered bounds the rounds that are added on either side.
	mostRecovered = 2
)

// clock is the beat of a set, in blocks.
type clock struct {
	period, work int
	level        float64
	contrast     float64 // over the rests
}

// clock returns the beat that a chain keeps to, if it does.
func (fd *finder) clock(members []int) (clock, bool) {
	if len(members) < leastClocked {
		return clock{}, false
	}
	var periods, works, levels, lows []float64
	for i, k := range members {
		m := &fd.all[k]
		works, levels = append(works, float64(m.b-m.a)), append(levels, m.level)
		if i > 0 {
			p := &fd.all[members[i-1]]
			periods, lows = append(periods, float64(m.a-p.a)), append(lows, fd.flank(p.b, m.a))
		}
	}
	period := medianOf(periods)
	for _, p := range periods {
		beats := max(1, math.Round(p/period))
		if beats > 2 || math.Abs(p/(beats*period)-1) > clockSpread {
			return clock{}, false
		}
	}
	t := clock{period: int(period), work: int(medianOf(works)), level: medianOf(levels)}
	t.contrast = t.level - medianOf(lows)
	return t, t.contrast > 0
}

// completed adds the rounds that a chain's clock asks for and the output bears
// out, and scores the chain anew.
func (fd *finder) completed(c chain) chain {
	t, ok := fd.clock(c.members)
	if !ok {
		return c
	}
	list := slices.Clone(c.members)
	for range mostRecovered {
		first := fd.all[list[0]]
		k, ok := fd.sought(t, first.a-t.period, 0, first.a)
		if !ok {
			break
		}
		list = slices.Insert(list, 0, k)
	}
	for range mostRecovered {
		last := fd.all[list[len(list)-1]]
		k, ok := fd.sought(t, last.a+t.period, last.b, fd.blocks.n)
		if !ok {
			break
		}
		list = append(list, k)
	}
	for i := 1; i < len(list); i++ {
		p, m := fd.all[list[i-1]], fd.all[list[i]]
		if math.Round(float64(m.a-p.a)/float64(t.period)) != 2 {
			continue
		}
		if k, ok := fd.sought(t, (p.a+m.a)/2, p.b, m.a); ok {
			list = slices.Insert(list, i, k)
			i++
		}
	}
	if len(list) == len(c.members) {
		return c
	}
	longer := c
	longer.members = list
	// The rounds added neither raise nor lower the evidence a link.
	longer.regular *= float64(len(list)-1) / float64(len(c.members)-1)
	fd.assess(&longer)
	longer.score = max(longer.score, c.score)
	return longer
}

// sought looks for a round that begins about a block, between two others, and
// adds it to the candidates.
func (fd *finder) sought(t clock, about, from, to int) (int, bool) {
	slack := int(clockSlack * float64(t.period))
	flank := max(2, (t.period-t.work)/2)
	best, bestContrast := candidate{}, 0.0
	for a := max(from+2, about-slack); a <= min(about+slack, to-2-t.work, fd.blocks.n-t.work-2); a++ {
		c := candidate{a: a, b: a + t.work, level: fd.flank(a, a+t.work)}
		c.left, c.right = fd.flank(max(from, a-flank), a), fd.flank(c.b, min(to, c.b+flank))
		// Both sides count: a step up in the easy riding is no round.
		if contrast := c.level - max(c.left, c.right); contrast > bestContrast {
			best, bestContrast = c, contrast
		}
	}
	best.seconds = float64(t.work * fd.size)
	best.z = bestContrast / math.Sqrt(fd.noise*(1/best.seconds+1/float64(flank*fd.size))+1e-9*t.level*t.level)
	if bestContrast < leastRecovered*t.contrast || best.level < leastLevel*t.level || best.z < leastRecoveredZ ||
		fd.taken[best.b] != fd.taken[best.a] {
		return 0, false
	}
	best.logSeconds, best.logZ = math.Log(best.seconds), math.Log(best.z)
	fd.all = append(fd.all, best)
	return len(fd.all) - 1, true
}
