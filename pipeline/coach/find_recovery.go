package coach

import (
	"math"

	"boutwise/metrics"
	"boutwise/metrics/stats"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/tables"
)

// minRecoveries is the fewest bouts whose heart-rate recovery is judged
// together: a single one errs by a fifth (standard error of measurement about
// 20 % after one minute, Int J Sports Med 2008;29:238–243).
const minRecoveries = 2

// lookAtRecovery asks whether the pauses between bouts were long and easy
// enough, and how far heart rate fell in them.
func (r *review) lookAtRecovery(v *view) {
	if !v.inBouts() {
		return
	}
	set := r.set.Findings
	asked, due := math.NaN(), "of the bout before"
	if row, prescribed := r.practice.Prescribed(r.client.ID, practice.SessionKind(v.Session.Kind), v.Session.LocalDate); prescribed && !math.IsNaN(row.RecoveryS) {
		asked, due = row.RecoveryS, "of what was prescribed"
	}
	p := v.pausesAgainst(asked)
	if length := stats.Median(p.pcts); length < set.RecoveryShortPct {
		r.find(v, Soon, RecoveryShort, length, set.RecoveryShortPct, "median length of the recoveries between bouts; "+noSource,
			"recoveries too short: the median of %d lasted %.0f %% %s", len(p.pcts), length, due)
	}
	if output := stats.Median(p.outputs); output > set.RecoveryHardPct {
		r.find(v, Soon, RecoveryHard, output, set.RecoveryHardPct, "median output of the recoveries in percent of the bout before; "+noSource,
			"recoveries too hard: the median of %d at %.0f %% of the bout's output", len(p.outputs), output)
	}
	r.lookAtHRRecovery(v)
}

// lookAtHRRecovery judges the fall of heart rate in the minute after a hard
// bout, where the client stood or sat still. The patients behind the published
// limit walked on slowly; at rest heart rate falls faster, so that a fall below
// the limit says all the more. Working on, or on medication that limits heart
// rate, the limit does not hold.
func (r *review) lookAtHRRecovery(v *view) {
	set, f := r.set.Findings, v.Facts
	if f.HRLimitingMedication || v.distrusted() {
		return
	}
	var falls []float64
	for _, b := range v.confirmed {
		hard := tables.Value(b.PeakHR) >= set.HRRecoveryPeakPct*f.MaxHR/100
		still := b.RecoveryKind == string(metrics.Passive) && tables.Value(b.RecoveryOutput) <= set.HRRecoveryOutput
		if fall := tables.Value(b.HRRecovery60); hard && still && !math.IsNaN(fall) {
			falls = append(falls, fall)
		}
	}
	fall := stats.Median(falls)
	if len(falls) < minRecoveries || fall > set.HRRecoveryBPM {
		return
	}
	// How hard the bouts were is a guess where the maximum is one.
	severity, hard := Urgent, "hard"
	if f.MaxHREstimated {
		severity, hard = Soon, "hard (by a maximum estimated by age)"
	}
	r.find(v, severity, LowHRRecovery, fall, set.HRRecoveryBPM,
		"median fall of heart rate in the minute after hard bouts, standing or sitting still; limit of Cole et al. 1999, found in a slow walk after maximal exercise",
		"heart rate fell by only %.0f bpm in the minute after %d %s bouts; ask the clinician before the next hard session", fall, len(falls), hard)
}
