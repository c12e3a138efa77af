package bouts

import "math"

// A chain of alike stretches is a set when it repeats well, has several
// rounds, is held evenly, stands clear of its rests, and when the client was
// also moving more easily at other times: a base session cut up by traffic
// lights has stops but no easy work. The weights for outputs are those of a
// logistic regression on invented sessions (seeds 1000 to 1199 of every
// scenario), each bounded so that no feature decides alone, with the sum at
// which a set is as likely as not then raised: real recordings hold more that is
// no set than invented ones do. The score is the logistic of the sum: it orders
// chains, but is not a calibrated probability.
type weights struct {
	regular   float64 // per nat of evidence a link
	rounds    float64 // per e-fold of rounds
	contrast  float64 // per unit
	length    float64 // per e-fold of the median bout over a minute
	clear     float64 // per e-fold of standard errors
	easy      float64 // when the client also rode easily
	durations float64 // against: bouts of different length
	rests     float64 // against: rests of different length
	blunt     float64 // against: edges that are none
	uneven    float64 // against: output that was not held
	within    float64 // against: rest within bouts
	outside   float64 // against: as hard elsewhere
	surges    float64 // against: short bouts that do not repeat well
	busy      float64 // against: all work, and not repeating well
	lights    float64 // against: short standstills that do not repeat well
	halts     float64 // against: short standstills and no easy riding
	faint     float64 // against: hardly above its rests, by less than clearly
	hardly    float64 // contrast that is hardly any
	clearly   float64 // and one that is
	vague     float64 // against: not far above its rests, and few or not repeating well
	open      float64 // against: begins with the session
	climbing  float64 // against: the ground explains it
	even      float64 // the sum at which a set is as likely as not
}

// outputWeights are for power, oxygen cost and speed.
var outputWeights = weights{
	regular: 0.75, rounds: 4.4, contrast: 3.4, length: 1.3, easy: 9,
	durations: 3, rests: 2, blunt: 4.5, uneven: 5.5, within: 2.6, outside: 4,
	busy: 3, lights: 2.2, halts: 4, faint: 5, hardly: 0.07, clearly: 0.115, vague: 5, open: 6, climbing: 3,
	even: 14.6,
}

// rateWeights are for heart rate. Its edges are blunt, its easy times are
// never quite easy, and clear of the noise counts for more. In a steady ride it
// goes up and down by ten beats by itself, which is a sixth of what demands work.
var rateWeights = weights{
	regular: 1.9, rounds: 4, length: 1.3, clear: 0.65, easy: 1.2,
	uneven: 3, outside: 1.8, surges: 0.5, busy: 2, lights: 2.5, halts: 2, faint: 4, hardly: 0.16, clearly: 0.22, open: 3,
	even: 11.9,
}

// Bounds within which each feature tells anything: beyond them more of it
// makes a set no likelier.
const (
	mostRegular  = 6.0
	mostContrast = 0.6
	mostRounds   = 6.0
	enoughEasy   = 0.3 // share of the session
	mostBlunt    = 0.6
	mostUneven   = 1.2
	mostWithin   = 0.3
	mostOutside  = 2.0
)

// odds is the logarithm of the odds that a chain is a set.
func (w weights) odds(x features) float64 {
	loosely, barely := 1-pass(x.regular, 1, 4), 1-pass(x.regular, 0, 3)
	// A session cut up at random has many pieces: their number tells something
	// only so far as they are alike.
	e := w.regular*min(x.regular, mostRegular) +
		w.rounds*math.Log(min(x.rounds, mostRounds, 2+2*max(0, x.regular))) +
		w.contrast*min(x.contrast, mostContrast) +
		w.length*min(3, max(-1, math.Log(x.typical/60))) +
		w.clear*min(3, math.Log(x.clear)) +
		w.easy*math.Sqrt(pass(x.easy, 0, enoughEasy)) -
		w.durations*min(x.durations, 1) -
		w.rests*min(x.rests, 1) -
		w.blunt*min(max(0, 1-x.sharp), mostBlunt) -
		w.uneven*min(x.uneven, mostUneven) -
		w.within*min(x.overlap, mostWithin) -
		w.outside*min(x.outside, mostOutside) -
		w.surges*barely*(1-pass(x.typical, 30, 120)) -
		w.busy*loosely*pass(x.work, 0.6, 0.85) -
		w.lights*loosely*x.lights -
		w.halts*x.lights*(1-pass(x.easy, 0.1, 0.25)) -
		w.faint*(1-pass(min(x.contrast, x.moving), w.hardly, w.clearly)) -
		w.vague*max(loosely, pass(x.rounds, 4, 2))*(1-pass(x.contrast, 0.12, 0.25)) -
		w.climbing*x.climbing
	if x.open {
		e -= w.open
	}
	if math.IsNaN(e) {
		return math.Inf(-1)
	}
	return e - w.even
}

// probability turns log odds into a score, 0 to 1.
func probability(odds float64) float64 { return 1 / (1 + math.Exp(-odds)) }

// pass is 0 at failed, 1 at met, linear between.
func pass(x, failed, met float64) float64 {
	return min(1, max(0, (x-failed)/(met-failed)))
}
