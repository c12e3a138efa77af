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
	*SessionView                     // the caller's; not to be changed
	confirmed    []tables.Bout       // the confirmed ones; not to be changed
	trouble      trouble             // of its heart-rate sensor
	edges        metrics.Edges       // of the intensity categories in bpm; nil where heart rate gives no verdict
	intensity    metrics.BandSeconds // in those categories; no bands without edges or heart rate
	perBeat      float64             // see [baseOutput]

	answers practice.SessionKind // of the prescription that it answers; "" when of none
}

// newView works out what rests on the session alone.
func (r *review) newView(s *SessionView) view {
	v := view{SessionView: s, confirmed: confirmed(s.Bouts), edges: r.edgesOf(s.Facts)}
	v.trouble = sensorTrouble(s, r.set.Findings)
	if v.edges != nil && len(s.HeartRate) > 0 {
		v.intensity = s.HeartRate.BandTime(v.edges)
	}
	v.perBeat = baseOutput(&v)
	return v
}

// edgesOf are the edges of the five intensity categories in bpm, by reserve
// where the resting rate is known; nil where heart rate gives no verdict:
// without the client's rates, and on medication that limits it. Sessions in a
// row mostly share their facts, so the last edges are kept.
func (r *review) edgesOf(f practice.Facts) metrics.Edges {
	if f.HRLimitingMedication {
		return nil
	}
	if r.edges == nil || !same(f.RestingHR, r.restingHR) || !same(f.MaxHR, r.maxHR) {
		r.edges, r.restingHR, r.maxHR = nil, f.RestingHR, f.MaxHR
		if set, ok := practice.DefaultBands(f); ok {
			r.edges = set.Lower
		}
	}
	return r.edges
}

// same tells equal numbers, not stated ones included.
func same(a, b float64) bool { return a == b || math.IsNaN(a) && math.IsNaN(b) }

// confirmed picks the confirmed bouts. Where all are, they are not copied.
func confirmed(all []tables.Bout) []tables.Bout {
	for i := range all {
		if all[i].Confidence != string(bouts.Confirmed) {
			return slices.DeleteFunc(slices.Clone(all), func(b tables.Bout) bool { return b.Confidence != string(bouts.Confirmed) })
		}
	}
	return all
}

// kind is what the session turned out to be.
func (v *view) kind() metrics.SessionKind { return metrics.SessionKind(v.Session.Kind) }

// isBase tells low-intensity work, with bursts near its end or without.
func (v *view) isBase() bool {
	return v.kind() == metrics.Base || v.kind() == metrics.BaseWithBursts
}

// distrusted tells a session whose heart rate must carry no verdict.
func (v *view) distrusted() bool { return v.trouble.what != "" }

// pacedPct is the share of confirmed bouts with a pacing, in percent of those
// that have any; NaN when fewer than half have one.
func (v *view) pacedPct(pacing metrics.Pacing) float64 {
	hits, judged := v.paced(pacing)
	if judged == 0 || 2*judged < len(v.confirmed) {
		return math.NaN()
	}
	return 100 * float64(hits) / float64(judged)
}

// paced counts the confirmed bouts with a pacing, and those that have any.
func (v *view) paced(pacing metrics.Pacing) (hits, judged int) {
	for _, b := range v.confirmed {
		if b.Pacing != "" {
			judged++
		}
		if b.Pacing == string(pacing) {
			hits++
		}
	}
	return hits, judged
}

// pauses are the recoveries between confirmed bouts, a value for each. What
// follows the last bout is none: nothing is left to recover for.
type pauses struct {
	lengths []float64 // s
	pcts    []float64 // length in percent of what was asked for, or where nothing was, of the bout before
	outputs []float64 // percent of the bout's mean; NaN where not measured
}

// pausesAgainst lists the recoveries; asked is what was asked for in s, or
// NaN.
func (v *view) pausesAgainst(asked float64) pauses {
	n := len(v.confirmed)
	room := make([]float64, 3*n) // for all three
	p := pauses{room[:0:n], room[n : n : 2*n], room[2*n : 2*n]}
	for i := range v.confirmed {
		b := &v.confirmed[i]
		if b.WorkToRecovery == nil {
			continue
		}
		due := asked
		if math.IsNaN(due) {
			due = b.DurationS
		}
		length := tables.Value(b.Recovery)
		p.lengths = append(p.lengths, length)
		p.pcts = append(p.pcts, 100*length/due)
		p.outputs = append(p.outputs, tables.Value(b.RecoveryOutput))
	}
	return p
}

// alikeRatio is how far apart the lengths of bouts may lie for their outputs
// to be compared: a longer bout is done at a lower output.
const alikeRatio = 1.25

// lastToFirst is the last bout's output in percent of the first's; NaN when
// the bouts differ in length, so that it would mean nothing.
func (v *view) lastToFirst() float64 {
	shortest, longest := math.Inf(1), 0.0
	for i := range v.confirmed {
		length := v.confirmed[i].DurationS
		shortest, longest = min(shortest, length), max(longest, length)
	}
	if longest > alikeRatio*shortest {
		return math.NaN()
	}
	return tables.Value(v.Session.LastToFirst)
}

// roundsAsLong counts the confirmed bouts that are no shorter than was asked
// for; all of them where no length was.
func (v *view) roundsAsLong(asked float64) (n int) {
	for i := range v.confirmed {
		if !tooShort(v.confirmed[i].DurationS, asked) {
			n++
		}
	}
	return n
}

// medianLength is the median duration of the confirmed bouts in seconds; NaN
// without any.
func (v *view) medianLength() float64 {
	all := make([]float64, len(v.confirmed))
	for i := range all {
		all[i] = v.confirmed[i].DurationS
	}
	return stats.Median(all)
}

// minutes is the session's length as a client counts it: with bouts the whole
// time, for the device may be stopped in recoveries; else without pauses.
func (v *view) minutes() float64 {
	if v.Session.Bouts > 0 {
		return v.Session.DurationS / 60
	}
	return v.Session.TrainedS() / 60
}

// output is the session's mean output above rest, in the unit of its signal;
// NaN where heart rate is all there is. At rest there is no power and no
// speed, but an oxygen cost.
func (v *view) output() float64 {
	switch bouts.Signal(v.Session.OutputSignal) {
	case bouts.Power:
		return tables.Value(v.Session.MeanPower)
	case bouts.OxygenCost:
		return tables.Value(v.Session.MeanOxygenCost) - metrics.RestingVO2
	case bouts.Speed:
		return tables.Value(v.Session.MeanSpeed)
	}
	return math.NaN()
}

// vigorousS is the time at vigorous heart rates or above, of the total with a
// heart rate, both in seconds. ok is false where heart rate gives no verdict or
// the sensor is not to be believed.
func (v *view) vigorousS() (vigorous, total int, ok bool) {
	if v.intensity.Bands == nil || v.distrusted() {
		return 0, 0, false
	}
	return v.intensity.Bands[metrics.Vigorous] + v.intensity.Bands[metrics.NearMaximal], v.intensity.Total(), true
}

// vigorousPct is the same as a share in percent, with the edge in bpm.
func (v *view) vigorousPct() (pct, edge float64, ok bool) {
	vigorous, total, ok := v.vigorousS()
	if !ok {
		return math.NaN(), math.NaN(), false
	}
	return 100 * float64(vigorous) / float64(total), v.edges[metrics.Vigorous], true
}
