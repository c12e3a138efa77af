package demo

import (
	"math"
	"math/rand/v2"

	"boutwise/pipeline/practice"
)

// shape is how effort runs through a bout, from x = 0 to x = 1, as a multiple
// of its level. Nil holds the level.
type shape func(x float64) float64

// fastStart begins far above the level, has lost most of that after a quarter
// and ends well below it; the mean over the bout stays 1.
func fastStart(x float64) float64 { return 0.965 - 0.04*x + 0.27*math.Exp(-x/0.2) }

// pacing names a shape in the words of the bouts table.
func (s shape) pacing() string {
	if s == nil {
		return "even"
	}
	return "fast_start"
}

// stretch is a piece of a plan: effort in a straight line between two levels
// for a whole number of seconds, times the shape of a bout.
type stretch struct {
	seconds  int
	from, to float64
	shape    shape
	bout     bool
}

// plan is one session in order.
type plan []stretch

// Lengths in seconds that sessions have in common.
const (
	warmupRamp   = 300 // from the first effort to the working one
	cooldown     = 180 // after bursts
	longCooldown = 300 // after intervals
)

// startEffort is where a warm-up begins, as a share of the base effort, and a
// cool-down ends, as a share of the easy one.
const startEffort = 0.6

// planned lays out what the client will do: never less than prescribed, up to
// a minute more.
func (h habits) planned(o outing, b body, m machine, rng *rand.Rand) plan {
	total := int(o.minutes*60) + 15 + rng.IntN(45)
	switch o.kind {
	case practice.BaseWithBursts:
		return h.baseThenRounds(o, total, h.burst, h.base*startEffort, nil, cooldown)
	case practice.Intervals:
		if o.trial != nil {
			return h.maximal(o.trial, total, b, m)
		}
		level := h.intervals[min(o.number, len(h.intervals)-1)]
		return h.baseThenRounds(o, total, level, h.easy, h.shape, longCooldown)
	}
	// Base work is easy enough to stop from.
	return plan{
		{seconds: warmupRamp, from: h.base * startEffort, to: h.base},
		{seconds: total - warmupRamp, from: h.base, to: h.base},
	}
}

// baseThenRounds is base work followed by rounds and a cool-down.
func (h habits) baseThenRounds(o outing, total int, level, easy float64, s shape, cool int) plan {
	work, rest := int(o.work), int(o.rest)
	lead := total - o.rounds*(work+rest) - cool
	p := plan{
		{seconds: warmupRamp, from: h.base * startEffort, to: h.base},
		{seconds: lead - warmupRamp, from: h.base, to: h.base},
	}
	for range o.rounds {
		p = append(p, stretch{seconds: work, from: level, to: level, shape: s, bout: true})
		p = append(p, stretch{seconds: rest, from: easy, to: easy})
	}
	return append(p, stretch{seconds: cool, from: easy, to: easy * startEffort})
}

// maximal is two or more efforts, each as hard as its length allows, with
// easy work in between.
func (h habits) maximal(efforts []float64, total int, b body, m machine) plan {
	p := plan{{seconds: warmupRamp, from: h.base * startEffort, to: h.base}}
	left := total - warmupRamp
	for _, seconds := range efforts {
		left -= int(seconds)
	}
	// The time that is left is shared: easy before each effort and after the
	// last.
	easy := left / (len(efforts) + 1)
	for _, seconds := range efforts {
		level := b.effort(b.powerFor(seconds))
		p = append(p, stretch{seconds: easy, from: h.easy, to: h.easy})
		p = append(p, stretch{seconds: int(seconds), from: level, to: level, bout: true})
	}
	return append(p, stretch{seconds: easy, from: h.easy, to: h.easy * startEffort})
}

// span is a stretch of seconds, [start, end).
type span struct{ start, end int }

// bouts are where the plan's bouts lie.
func (p plan) bouts() []span {
	var spans []span
	at := 0
	for _, s := range p {
		if s.bout {
			spans = append(spans, span{at, at + s.seconds})
		}
		at += s.seconds
	}
	return spans
}

// render gives the plan's effort second by second. Each change of level is a
// straight ramp of edge seconds centred on it, so that the boundary stays
// where the plan has it.
func (p plan) render(edge int) []float64 {
	var raw []float64
	for _, s := range p {
		for i := range s.seconds {
			x := (float64(i) + 0.5) / float64(s.seconds)
			level := s.from + (s.to-s.from)*x
			if s.shape != nil {
				level *= s.shape(x)
			}
			raw = append(raw, level)
		}
	}
	return centredMean(raw, edge)
}

// centredMean is a moving mean over width seconds; near the ends it uses what
// there is. The mean at second i is taken over [i - width/2, i + width/2).
func centredMean(x []float64, width int) []float64 {
	sum := make([]float64, len(x)+1)
	for i, v := range x {
		sum[i+1] = sum[i] + v
	}
	out := make([]float64, len(x))
	for i := range x {
		lo := max(0, i-width/2)
		hi := min(len(x), max(i+(width+1)/2, i+1))
		out[i] = (sum[hi] - sum[lo]) / float64(hi-lo)
	}
	return out
}

// mean over the seconds of a span; NaN when it is empty.
func mean(x []float64, s span) float64 {
	sum := 0.0
	for _, v := range x[s.start:s.end] {
		sum += v
	}
	if s.end == s.start {
		return math.NaN()
	}
	return sum / float64(s.end-s.start)
}
