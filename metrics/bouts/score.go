package bouts

import "math"

// A chain of alike stretches is a set when it repeats well, has several
// rounds, stands clear of its rests, and when the client was also moving more
// easily at other times: a base session cut up by traffic lights has stops
// but no easy work. The weights are those of a logistic regression on
// invented sessions (seeds 1000 to 1059 of every scenario), rounded; the
// score is its probability.
const (
	weightRegular  = 0.9 // per nat of evidence a link
	weightRounds   = 4.0 // per e-fold of rounds
	weightContrast = 1.5
	weightLength   = 1.6 // per e-fold of the shortest bout over a minute
	weightEasy     = 8.0
	weightSharp    = 2.0
	weightUneven   = 2.4
	weightOutside  = 1.5
	weightSurges   = 2.0 // for short bouts that do not repeat well
	weightRest     = 3.0 // when there is hardly any
	weightClimbing = 4.0
	evenScore      = 13.0
)

// Bounds within which each feature tells anything: beyond them more of it
// makes a set no likelier.
const (
	mostRegular        = 6.0
	mostContrast       = 0.6
	mostRounds         = 6.0
	noEasy, enoughEasy = 0.03, 0.15 // share of the session
	mostBlunt          = 0.6
	mostUneven         = 0.6
	mostOutside        = 2.0
)

// setScore is how probable it is that a chain is a set, 0 to 1.
func setScore(x features) float64 {
	e := weightRegular*min(x.regular, mostRegular) +
		weightRounds*math.Log(min(x.rounds, mostRounds)) +
		weightContrast*min(x.contrast, mostContrast) +
		weightLength*min(3, max(-1, math.Log(x.shortest/60))) +
		weightEasy*pass(x.easy, noEasy, enoughEasy) -
		weightSharp*min(math.Abs(x.sharp-1), mostBlunt) -
		weightUneven*min(x.uneven, mostUneven) -
		weightOutside*min(x.outside, mostOutside) -
		weightSurges*(1-pass(x.regular, 0, 3))*(1-pass(x.shortest, 30, 120)) -
		weightClimbing*x.climbing -
		weightRest*(1-pass(x.restRatio, 0.02, 0.07))
	if math.IsNaN(e) {
		return 0
	}
	return 1 / (1 + math.Exp(evenScore-e))
}

// A lone block has no repetition to bear it out. It must be plain in every
// other way: each demand below is a factor that is 1 when met with ease and
// falls to nothing when clearly failed.
func loneScore(x features) float64 {
	score := pass(x.outside, 0.15, 0.02) * // nothing as hard elsewhere
		pass(x.overlap, 0.08, 0.02) * // no rest within
		pass(x.uneven, 0.20, 0.10) * // held evenly
		pass(x.easy, 0.25, 0.35) * // less than most of the session
		pass(x.sharp, 0.5, 0.75) * // with a start and an end
		pass(x.contrast, 0.17, 0.25) *
		pass(x.clear, 10, 20) *
		pass(x.shortest, 240, 480)
	if math.IsNaN(score) {
		return 0
	}
	return score
}

// pass is 0 at failed, 1 at met, linear between.
func pass(x, failed, met float64) float64 {
	return min(1, max(0, (x-failed)/(met-failed)))
}
