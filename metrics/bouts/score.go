package bouts

import "math"

// Evidence in nats becomes a score between 0 and 1: the middle, 0.5, lies
// where a set is as likely to be one as not.
const (
	evenEvidence  = 9.0
	evidenceScale = 3.0
)

// scoreOf turns evidence into a score.
func scoreOf(evidence float64) float64 {
	return 1 / (1 + math.Exp(-(evidence-evenEvidence)/evidenceScale))
}

// evidenceOf is the evidence that a score asks for.
func evidenceOf(score float64) float64 {
	return evenEvidence + evidenceScale*math.Log(score/(1-score))
}
