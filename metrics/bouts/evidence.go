package bouts

import "math"

// The evidence for a set is a sum of log likelihood ratios: how much more
// probable each bout's duration, level and recovery are if it repeats the
// pattern than if it came from nowhere in particular. Every term has a floor,
// for rounds that break the pattern, so that one odd round costs something
// but not everything, and a ceiling: without it, "the same duration" would
// drag boundaries towards equality.

// tolerance scores a deviation from a pattern.
type tolerance struct {
	gain  float64 // evidence in no deviation at all
	bend  float64 // lost per squared deviation
	floor float64 // evidence in a round that does not follow the pattern
}

// rootTwoPi is the square root of twice pi.
const rootTwoPi = 2.5066282746310002

// newTolerance is for normal deviations of the given spread against a uniform
// prior over width, when a share odd of the rounds does not follow the
// pattern.
func newTolerance(spread, width, odd float64) tolerance {
	return tolerance{
		gain:  math.Log((1-odd)*width/(spread*rootTwoPi) + odd),
		bend:  1 / (2 * spread * spread),
		floor: math.Log(odd),
	}
}

// of is the evidence in a deviation.
func (t *tolerance) of(x float64) float64 {
	// Plain comparisons, here and in rhythm: max minds what is not a number, and
	// the search asks some hundred thousand times.
	if e := t.gain - t.bend*x*x; e > t.floor {
		return e
	}
	return t.floor
}

// durationWidth is the width of the prior on the logarithm of a duration.
// Bouts from 15 s to 40 min span e^5, but of several nested candidates the
// best fitting one is taken, which makes a chance likeness more probable.
const durationWidth = 2.5

// Shares of rounds whose duration, rest or level breaks the pattern.
const (
	oddDuration = 0.2
	oddRest     = 0.3
	oddLevel    = 0.005
)

// edgeDoubt is how far blocks alone may move a duration, in seconds.
const edgeDoubt = 4.0

// tightness is how closely a set repeats its pattern, as the spread of the
// logarithms of its durations and rests, and of its levels as a share. A
// programmed session is strict, one done by feel or by the road is loose, and
// in a ladder or a pyramid the rests follow the work; all three are tried.
type tightness struct{ duration, rest, level float64 }

var tightnesses = [...]tightness{
	{duration: 0.05, rest: 0.12, level: 0.05},
	{duration: 0.50, rest: 0.15, level: 0.08},
	{duration: 0.30, rest: 0.40, level: 0.08},
}

// pattern is what a set repeats.
type pattern struct {
	seconds float64 // of a bout
	level   float64
	rest    float64 // s between two bouts
	low     float64 // level of the rest
}

// limitShare is how far below its level, as a share of the contrast, what a
// pattern counts as work reaches.
const limitShare = 0.4

// limit is the level that parts work from rest.
func (t pattern) limit() float64 { return t.level - limitShare*(t.level-t.low) }

// judge weighs candidates against one pattern at one tightness.
type judge struct {
	pattern
	fd         *finder
	hard       work // at the pattern's level
	logSeconds float64
	logRest    float64
	duration   tolerance
	between    tolerance
	spread     float64 // of levels, as a share
}

func (fd *finder) newJudge(t pattern, tight tightness, hard work) judge {
	return judge{
		pattern: t, fd: fd, hard: hard,
		logSeconds: math.Log(t.seconds), logRest: math.Log(t.rest),
		duration: newTolerance(tight.duration+edgeDoubt/t.seconds, durationWidth, oddDuration),
		between:  newTolerance(tight.rest+edgeDoubt/t.rest, durationWidth, oddRest),
		spread:   tight.level,
	}
}

// firstCost takes back what a pattern earns by resembling itself.
func (j *judge) firstCost() float64 { return j.duration.gain + j.between.gain }

// Evidence in how clear of the noise a bout stands: none at clearZ standard
// errors, at most mostClear either way.
const (
	clearZ    = 4.0
	mostClear = 1.5
)

// Logarithms that every comparison needs.
var (
	logOddLevel = math.Log(oddLevel)
	logClearZ   = math.Log(clearZ)
)

// Evidence against a bout that is rest for a share of its time.
const (
	restWithin     = 6.0
	mostRestWithin = 8.0
)

// likeness is the evidence that a candidate repeats the pattern.
func (j *judge) likeness(c *candidate) float64 {
	e := j.duration.of(c.logSeconds - j.logSeconds)

	// A like level earns nothing, since any session has one level that it
	// mostly keeps to; an unlike one counts against.
	variance := j.spread*j.spread + 2*j.fd.noise/(c.seconds*j.level*j.level)
	x := (c.level - j.level) / j.level
	e += max(logOddLevel, -x*x/(2*variance))

	// Bouts that are clear of the noise count for more.
	e += min(mostClear, max(-mostClear, c.logZ-logClearZ))

	// Rest within a bout speaks against its being one.
	below := c.seconds - j.hard.between(c.a, c.b)
	return e - min(mostRestWithin, restWithin*below/c.seconds)
}

// Evidence against two bouts following each other.
const (
	workBetween     = 4.0 // as hard in between, for as long as a bout
	mostWorkBetween = 8.0

	// Depth of a rest, as a share of the pattern's contrast, beyond which it
	// is too deep or too shallow, and the evidence lost per share beyond.
	tooDeep, deepLoss       = 2.0, 3.0
	tooShallow, shallowLoss = 0.6, 10.0

	// A rest of less than briefShare of the work before it, or the more so
	// scantShare, that is also less than briefRest or scantRest seconds, is a
	// dip within one bout rather than what parts two.
	scantLoss              = 5.0
	scantShare, briefShare = 0.07, 0.16
	scantRest, briefRest   = 45.0, 90.0
)

// rhythm is the evidence that a rest of so many blocks after a bout, whose
// length is given by its logarithm, is the pattern's.
func (j *judge) rhythm(blocks int, logSeconds float64) float64 {
	// Rests may be equal, or in proportion to the work before them.
	equal := logs[blocks] - j.logRest
	inProportion := equal - (logSeconds - j.logSeconds)
	if inProportion*inProportion < equal*equal {
		equal = inProportion
	}
	return j.between.of(equal)
}

// objection is the evidence against two bouts following each other, whatever
// the length of the rest between them; never more than nothing.
func (j *judge) objection(p, c *candidate) float64 {
	// Work as hard in between that is not part of the set speaks against it.
	e := -min(mostWorkBetween, workBetween*j.hard.between(p.b, c.a)/j.seconds)

	rest := float64((c.a - p.b) * j.fd.size)
	e -= scantLoss * pass(rest, briefRest, scantRest) * pass(rest/p.seconds, briefShare, scantShare)

	// A rest much deeper than the pattern's betrays a pattern that is only a
	// ripple on the bouts; one as high as the bouts is none.
	depth := (j.level - j.fd.flank(p.b, c.a)) / (j.level - j.low)
	switch {
	case depth > tooDeep:
		e -= deepLoss * (depth - tooDeep)
	case depth < tooShallow:
		e -= shallowLoss * (tooShallow - depth)
	}
	return e
}

// Evidence against a set from work as hard before and after it, as long as
// that in it.
const (
	workOutside     = 8.0
	mostWorkOutside = 15.0
)

// outside is the evidence against a set from work as hard before and after
// it: one interval session has little of it, a hilly ride much.
func (j *judge) outside(members []int) float64 {
	in := 0.0
	for _, k := range members {
		in += j.fd.all[k].seconds
	}
	return min(mostWorkOutside, workOutside*j.fd.outside(members, j.hard)/in)
}

// outside is the time of work as hard before the first and after the last
// member, in seconds.
func (fd *finder) outside(members []int, hard work) float64 {
	first, last := fd.all[members[0]], fd.all[members[len(members)-1]]
	return hard.between(0, first.a) + hard.between(last.b, fd.blocks.n)
}
