package coach

import (
	"boutwise/metrics"
	"boutwise/pipeline/tables"
)

// nearMaxMinuteS is how many seconds at or above 90 % of maximal heart rate
// make a session hard for certain, whatever its rating: common practice, no
// source.
const nearMaxMinuteS = 60

// lookAtExertion compares the client's own rating with the data. Where heart
// rate gives no verdict on a base session, the rating stands alone.
func (r *review) lookAtExertion(v *view) {
	set, rated := r.set.Findings, tables.Value(v.Session.RatedExertion)
	const method = "rated exertion, 0 to 10, beside heart rate; " + noSource
	if v.kind() == metrics.Base && rated >= set.ExertionHardBase {
		pct, _, ok := v.vigorousPct()
		switch {
		case v.Facts.HRLimitingMedication:
			r.find(v, Soon, ExertionHigh, rated, set.ExertionHardBase, method,
				"base session rated %.0f of 10; on medication that limits heart rate the rating is the guide: too hard, or unwell?", rated)
		case ok && pct <= set.BaseAbovePct:
			r.find(v, Soon, ExertionHigh, rated, set.ExertionHardBase, method,
				"base session rated %.0f of 10 with %.0f %% of it at vigorous heart rates: unwell, or a maximum that is set too high?", rated, pct)
		case !ok:
			r.find(v, Soon, ExertionHigh, rated, set.ExertionHardBase, method,
				"base session rated %.0f of 10, with no heart rate to compare: too hard, or unwell?", rated)
		}
	}
	if near := r.nearMaxS(v); v.kind() == metrics.Intervals && rated <= set.ExertionEasyWork && near >= nearMaxMinuteS {
		r.find(v, Note, ExertionLow, rated, set.ExertionEasyWork, method,
			"intervals rated %.0f of 10 with %.0f s near maximal heart rate: rating misunderstood, or a maximum that is set too low?", rated, near)
	}
}

// nearMaxS is the time near maximal heart rate in the session's bouts; 0 where
// heart rate gives no verdict or the maximum was only estimated.
func (r *review) nearMaxS(v *view) float64 {
	if v.Facts.HRLimitingMedication || v.Facts.MaxHREstimated || v.distrusted() {
		return 0
	}
	sum := 0.0
	for _, b := range v.confirmed {
		if b.NearMaxHR != nil {
			sum += *b.NearMaxHR
		}
	}
	return sum
}
