package coach

import (
	"math"

	"boutwise/metrics"
)

// lookAtHeart asks whether base work stayed easy, and whether heart rate went
// above the maximum that all bands rest on.
func (r *review) lookAtHeart(v *view) {
	set := r.set.Findings
	// What may hold bouts is no base session for certain.
	clearly := v.kind() == metrics.Base && v.Session.PossibleBouts == 0
	if pct, edge, ok := v.vigorousPct(); ok && clearly && pct > set.BaseAbovePct {
		estimated := ""
		if v.Facts.MaxHREstimated {
			estimated = ", from a maximum estimated by age"
		}
		r.find(v, Soon, BaseAboveBand, pct, set.BaseAbovePct, "share of time at vigorous heart rates or above (categories of Garber et al. 2011); the limit is "+noSource,
			"base session too hard: %.0f %% of it at or above %.0f bpm%s", pct, edge, estimated)
	}
	r.lookAtMaximum(v)
}

// lookAtMaximum fires when heart rate stayed well above a measured maximum. An
// estimated one errs by some 10 bpm, one standard deviation (from memory), so
// that three clients in ten exceed it by 5: that proves nothing.
func (r *review) lookAtMaximum(v *view) {
	f, set := v.Facts, r.set.Findings
	if math.IsNaN(f.MaxHR) || f.MaxHREstimated || v.distrusted() {
		return
	}
	limit := f.MaxHR + set.AboveMaxHRBPM
	seconds, highest := 0, 0.0
	for i := len(v.HeartRate) - 1; i >= 0 && v.HeartRate[i].Value >= limit; i-- {
		seconds += v.HeartRate[i].Seconds
	}
	if seconds > 0 {
		highest = v.HeartRate[len(v.HeartRate)-1].Value
	}
	if seconds >= set.AboveMaxHRS {
		r.find(v, Soon, AboveMaxHR, highest, limit, "seconds well above the measured maximal heart rate; "+noSource,
			"heart rate up to %.0f bpm, %d s at least %.0f above the measured maximum of %.0f: sensor at fault, or a new maximum?",
			highest, seconds, set.AboveMaxHRBPM, f.MaxHR)
	}
}
