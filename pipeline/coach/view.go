package coach

import (
	"math"
	"slices"

	"boutwise/metrics"
	"boutwise/metrics/bouts"
	"boutwise/metrics/stats"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/tables"
)

// view is a session with what is asked of it again and again.
type view struct {
	SessionView
	confirmed []tables.Bout // the confirmed ones; not to be changed
}

// confirmed picks the confirmed bouts. Where all are, they are not copied.
func confirmed(all []tables.Bout) []tables.Bout {
	possible := func(b tables.Bout) bool { return b.Confidence != string(bouts.Confirmed) }
	if !slices.ContainsFunc(all, possible) {
		return all
	}
	return slices.DeleteFunc(slices.Clone(all), possible)
}

// kind is what the session turned out to be.
func (v *view) kind() metrics.SessionKind { return metrics.SessionKind(v.Session.Kind) }

// isBase tells low-intensity work, with bursts near its end or without.
func (v *view) isBase() bool {
	return v.kind() == metrics.Base || v.kind() == metrics.BaseWithBursts
}

// pacedPct is the share of confirmed bouts with a pacing, in percent of those
// that have any; NaN when fewer than half have one.
func (v *view) pacedPct(pacing metrics.Pacing) float64 {
	judged, hits := 0, 0
	all := v.confirmed
	for _, b := range all {
		if b.Pacing != "" {
			judged++
		}
		if b.Pacing == string(pacing) {
			hits++
		}
	}
	if judged == 0 || 2*judged < len(all) {
		return math.NaN()
	}
	return 100 * float64(hits) / float64(judged)
}

// recovery is the pause between two bouts.
type recovery struct {
	length float64 // s
	work   float64 // s, of the bout before it
	output float64 // percent of the bout's mean; NaN where not measured
}

// recoveries lists the pauses between confirmed bouts. What follows the last
// bout is no pause: nothing is left to recover for.
func (v *view) recoveries() []recovery {
	var all []recovery
	for _, b := range v.confirmed {
		if b.WorkToRecovery != nil {
			all = append(all, recovery{tables.Value(b.Recovery), b.DurationS, tables.Value(b.RecoveryOutput)})
		}
	}
	return all
}

// recoveryPcts gives each pause's length in percent of what was asked for, or
// where nothing was, of the bout before it, and each pause's output.
func (v *view) recoveryPcts(asked float64) (lengths, outputs []float64) {
	for _, rec := range v.recoveries() {
		due := asked
		if math.IsNaN(due) {
			due = rec.work
		}
		lengths = append(lengths, 100*rec.length/due)
		outputs = append(outputs, rec.output)
	}
	return lengths, outputs
}

// alikeRatio is how far apart the lengths of bouts may lie for their outputs
// to be compared: a longer bout is done at a lower output.
const alikeRatio = 1.25

// lastToFirst is the last bout's output in percent of the first's; NaN when
// the bouts differ in length, so that it would mean nothing.
func (v *view) lastToFirst() float64 {
	shortest, longest := math.Inf(1), 0.0
	for _, b := range v.confirmed {
		shortest, longest = min(shortest, b.DurationS), max(longest, b.DurationS)
	}
	if longest > alikeRatio*shortest {
		return math.NaN()
	}
	return tables.Value(v.Session.LastToFirst)
}

// medianLength is the median duration of the confirmed bouts in seconds.
func (v *view) medianLength() float64 {
	var all []float64
	for _, b := range v.confirmed {
		all = append(all, b.DurationS)
	}
	return stats.Median(all)
}

// minutes is the session's length as a client counts it: with bouts the whole
// time, for the device may be stopped in recoveries; else what was recorded.
func (v *view) minutes() float64 {
	if v.Session.Bouts > 0 {
		return v.Session.DurationS / 60
	}
	return v.Session.RecordedS / 60
}

// output is the session's mean output in the unit of its signal; NaN where
// heart rate is all there is. On foot it is the speed: the mean oxygen cost of
// a whole session is not a column.
func (v *view) output() float64 {
	switch bouts.Signal(v.Session.OutputSignal) {
	case bouts.Power:
		return tables.Value(v.Session.MeanPower)
	case bouts.OxygenCost, bouts.Speed:
		return tables.Value(v.Session.MeanSpeed)
	}
	return math.NaN()
}

// categories are the edges of the five intensity categories in bpm, by
// reserve where the resting rate is known. ok is false where heart rate gives
// no verdict: without the client's rates, and on medication that limits it.
func categories(f practice.Facts) (edges metrics.Edges, ok bool) {
	if f.HRLimitingMedication {
		return nil, false
	}
	set, ok := practice.DefaultBands(f)
	return metrics.Edges(set.Lower), ok
}

// vigorousPct is the share of seconds at vigorous heart rates or above, in
// percent, and the edge in bpm. ok is false where heart rate gives no verdict
// or the sensor is not to be believed.
func (r *review) vigorousPct(v *view) (pct, edge float64, ok bool) {
	edges, ok := categories(v.Facts)
	if !ok || len(v.HeartRate) == 0 || r.distrusted(v) {
		return math.NaN(), math.NaN(), false
	}
	time := v.HeartRate.BandTime(edges)
	hard := time.Bands[metrics.Vigorous] + time.Bands[metrics.NearMaximal]
	return 100 * float64(hard) / float64(time.Total()), edges[metrics.Vigorous], true
}
