package coach

import (
	"math"

	"boutwise/metrics"
	"boutwise/metrics/stats"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/tables"
)

// normalMAD scales a median absolute deviation to the standard deviation of a
// normal distribution.
const normalMAD = 1.4826

// baseOutput is the output of a base session at a fixed heart rate: mean
// output over mean heart rate above rest. What the fixed rate is does not
// matter to comparisons within a client. Heart-rate reserve runs about
// parallel to oxygen uptake reserve (Garber et al. 2011), so the quotient
// stays put while fitness does. NaN for any other session and where heart rate
// gives no verdict.
func baseOutput(v *view) float64 {
	f := &v.Facts
	above := tables.Value(v.Session.MeanHR) - f.RestingHR
	if v.kind() != metrics.Base || f.HRLimitingMedication || v.distrusted() || !(above > 0) {
		return math.NaN()
	}
	return v.output() / above
}

// comparable tells sessions whose outputs may be compared: of one sport and
// signal, and interval sessions of bouts of about the same length.
func comparable(a, b *view) bool {
	if a.Session.Sport != b.Session.Sport || a.Session.OutputSignal != b.Session.OutputSignal {
		return false
	}
	if a.kind() == metrics.Intervals && b.kind() == metrics.Intervals {
		la, lb := a.medianLength(), b.medianLength()
		return max(la, lb) <= alikeRatio*min(la, lb)
	}
	return true
}

// lookAtOutput compares a base session's output at a given heart rate with the
// client's own earlier ones.
func (r *review) lookAtOutput(i int) {
	set, v := r.set.Findings, r.sessions[i]
	now := v.perBeat
	if math.IsNaN(now) {
		return
	}
	var before []float64
	since := v.Session.LocalDate - calendar.Date(set.OutputDays)
	for k := i - 1; k >= 0 && r.sessions[k].Session.LocalDate >= since; k-- {
		if b := r.sessions[k]; !math.IsNaN(b.perBeat) && comparable(v, b) {
			before = append(before, b.perBeat)
		}
	}
	if len(before) < set.OutputHistory {
		return
	}
	usual := stats.Median(before)
	deviations := make([]float64, len(before))
	for k, x := range before {
		deviations[k] = math.Abs(x - usual)
	}
	drop := 100 * (usual - now) / usual
	scatter := normalMAD * stats.Median(deviations)
	if drop >= set.OutputDropPct && usual-now >= set.OutputDropMADs*scatter {
		r.find(v, Soon, OutputDrop, drop, set.OutputDropPct,
			"mean output over heart rate above rest in base sessions, against the client's own median; "+noSource,
			"output at a given heart rate %.0f %% below the median of %d base sessions before: illness, heat, fatigue, medication or equipment?", drop, len(before))
	}
}
