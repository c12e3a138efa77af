package bouts

import (
	"cmp"
	"math"
	"slices"
)

// finder holds what the search for sets shares.
type finder struct {
	fit
	settings Settings
	weights  weights
	altitude []float64 // m, nil when unknown
	witness  *witness
	all      []candidate

	// taken and explained count, before each block, the blocks in bouts of
	// any set found so far, and of confirmed ones.
	taken, explained []int

	stepOf []int  // step that a block lies in
	nodes  []node // room for the chains
}

func newFinder(f fit, w weights, altitude []float64, s Settings) *finder {
	fd := &finder{
		fit: f, settings: s, weights: w, altitude: altitude,
		taken:     make([]int, f.blocks.n+1),
		explained: make([]int, f.blocks.n+1),
		stepOf:    make([]int, f.blocks.n),
	}
	fd.all = f.candidates(s)
	for k, st := range f.steps {
		for i := st.a; i < st.b; i++ {
			fd.stepOf[i] = k
		}
	}
	return fd
}

// logs are the logarithms of numbers of blocks up to an hour, in seconds: the
// search asks for them some hundred thousand times.
var logs = func() (t [1800]float64) {
	for i := range t {
		t[i] = math.Log(float64(i * blockSeconds))
	}
	return t
}()

// logOf is the logarithm of a number of blocks, in seconds.
func logOf(blocks int) float64 {
	if blocks < len(logs) {
		return logs[blocks]
	}
	return math.Log(float64(blocks * blockSeconds))
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
	templates := fd.templates()
	for range mostSets {
		best, ok := fd.best(fd.chains(templates))
		if !ok {
			break
		}
		best = fd.completed(best)
		fd.take(best, best.score >= fd.settings.Accept)
		found = append(found, best)
	}
	return found
}

// chains returns the best chain of every template at every tightness, those
// with the most evidence first.
func (fd *finder) chains(templates []template) []chain {
	var all []chain
	for _, t := range templates {
		if !fd.free(&fd.all[t.from]) {
			continue
		}
		hard := fd.above(t.limit())
		for _, tight := range tightnesses {
			j := fd.newJudge(t.pattern, tight, hard)
			if c := fd.chain(&j); len(c.members) > 1 && c.evidence >= leastEvidence {
				all = append(all, c)
			}
		}
	}
	slices.SortStableFunc(all, func(x, y chain) int { return cmp.Compare(y.evidence, x.evidence) })
	return all
}

// best returns the chain to take, if any is worth suggesting.
func (fd *finder) best(all []chain) (chain, bool) {
	best, worth := chain{}, math.Inf(-1)
	for _, c := range all {
		// The others have less evidence and cannot make up for it.
		if evidenceShare*c.evidence+sureOdds <= worth {
			break
		}
		if fd.assess(&c); c.score < fd.settings.Suggest {
			continue
		}
		if w := evidenceShare*c.evidence + min(sureOdds, c.odds); w > worth {
			best, worth = c, w
		}
	}
	return best, len(best.members) > 0
}

// assess scores a chain. Where that leaves it in doubt, the heart rate may bear
// it out.
func (fd *finder) assess(c *chain) {
	c.odds = fd.weights.odds(fd.describe(*c))
	if c.score = probability(c.odds); c.score >= fd.settings.Accept {
		return
	}
	raised := c.odds + corroboration
	if p := probability(raised); p >= fd.settings.Suggest && fd.witness.sees(fd.boutsOf(*c)) {
		c.odds, c.score = raised, p
	}
}

// take marks a chain's time as spoken for. Only the work of a confirmed set is
// accounted for: other work as hard still speaks against the next set.
func (fd *finder) take(c chain, confirmed bool) {
	mark := func(counts []int) {
		added, i := 0, 0
		for _, k := range c.members {
			for ; i <= fd.all[k].a; i++ {
				counts[i] += added
			}
			for ; i <= fd.all[k].b; i++ {
				added++
				counts[i] += added
			}
		}
		for ; i < len(counts); i++ {
			counts[i] += added
		}
	}
	mark(fd.taken)
	if confirmed {
		mark(fd.explained)
	}
}

// free tells whether a candidate overlaps no bout found so far.
func (fd *finder) free(c *candidate) bool { return fd.taken[c.b] == fd.taken[c.a] }

// template is a pattern to try, and the candidate that it was taken from.
type template struct {
	pattern
	from   int
	weight float64 // how many are like it, and how clear it stands
}

const (
	// Loss of likeness per log ratio of durations and per share of level.
	durationLikeness, levelLikeness = 3.0, 6.0

	// templateLook bounds the candidates on either side that a template is
	// compared with.
	templateLook = 80

	// templateWork bounds the templates of very long sessions: so many
	// candidates times templates are looked at.
	templateWork = 8000

	// Templates closer than these to one already taken are not tried.
	sameSeconds, sameLevel, sameRest = 0.06, 0.03, 0.12
)

// templates proposes patterns: each candidate with the rest to its nearest
// like. Those with the most likes come first, and only so many are tried.
func (fd *finder) templates() []template {
	var list []template
	for i := range fd.all {
		if t, ok := fd.template(i); ok {
			list = append(list, t)
		}
	}
	slices.SortStableFunc(list, func(x, y template) int { return cmp.Compare(y.weight, x.weight) })
	most := max(4, min(fd.settings.Templates, templateWork/max(1, len(fd.all))))
	var kept []template
	for _, t := range list {
		if len(kept) == most {
			break
		}
		if !slices.ContainsFunc(kept, t.sameAs) {
			kept = append(kept, t)
		}
	}
	return kept
}

// sameAs tells whether two templates would find the same.
func (t template) sameAs(o template) bool {
	return math.Abs(math.Log(t.seconds/o.seconds)) < sameSeconds &&
		math.Abs(t.level/o.level-1) < sameLevel &&
		math.Abs(math.Log(t.rest/o.rest)) < sameRest
}

// template makes a pattern of a candidate, if another is like it.
func (fd *finder) template(i int) (template, bool) {
	c := &fd.all[i]
	t := template{pattern: pattern{seconds: c.seconds, level: c.level}, from: i}
	likes := 0.0
	nearest := math.MaxInt
	for k := max(0, i-templateLook); k < min(len(fd.all), i+templateLook); k++ {
		o := &fd.all[k]
		rest := max(o.a-c.b, c.a-o.b)
		if rest <= 0 {
			continue
		}
		alike := 1 - durationLikeness*math.Abs(o.logSeconds-c.logSeconds) - levelLikeness*math.Abs(o.level/c.level-1)
		if alike <= 0 {
			continue
		}
		likes += alike
		if rest < nearest {
			nearest = rest
			t.low = fd.flank(min(o.b, c.b), max(o.a, c.a))
		}
	}
	t.rest = float64(nearest) * float64(fd.size)
	t.weight = likes * c.logZ
	return t, likes > 0 && t.low < c.level
}
