package practice

import (
	"math"

	"boutwise/metrics"
)

// bandsOn is the set of bands in force for a signal, in the signal's own
// unit: the client's own from its date on, else that of every client, else
// for heart rate the default categories. ok is false when there is no set, or
// when it rests on something that was not measured.
func (p *Practice) bandsOn(h *history, signal BandSignal, day Date, f Facts) (set BandSet, ok bool) {
	for _, sets := range [][]bandHistory{h.bands[signal], p.history(everyClient).bands[signal]} {
		i := latestFrom(len(sets), func(i int) Date { return sets[i].from }, day)
		if i >= 0 {
			return resolved(sets[i], signal, f)
		}
	}
	if signal == BandHeartRate {
		return DefaultBands(f)
	}
	return BandSet{}, false
}

// resolved turns a set's edges into bpm, W or m/s.
func resolved(h bandHistory, signal BandSignal, f Facts) (set BandSet, ok bool) {
	lower := make([]float64, len(h.lower))
	for i, x := range h.lower {
		lower[i] = absolute(x, h.unit, f)
		if math.IsNaN(lower[i]) {
			return BandSet{}, false
		}
	}
	return BandSet{
		Signal: signal, EffectiveFrom: h.from, Names: h.names, Lower: lower,
		Estimated: f.MaxHREstimated && (h.unit == "pct_max_hr" || h.unit == "pct_hr_reserve"),
	}, true
}

// absolute turns an edge into bpm, W or m/s; NaN without the measurement that
// its unit is relative to.
func absolute(x float64, unit string, f Facts) float64 {
	switch unit {
	case "pct_max_hr":
		return x * f.MaxHR / 100
	case "pct_hr_reserve":
		// The lowest band takes in what lies below the resting rate, too.
		if x == 0 && f.MaxHR > f.RestingHR {
			return 0
		}
		return metrics.KarvonenTarget(f.RestingHR, f.MaxHR, x)
	case "pct_threshold_hr":
		return x * f.ThresholdHR / 100
	case "pct_threshold_power":
		return x * f.ThresholdPower / 100
	}
	return x
}

// Names of the default bands by heart-rate reserve and by maximal heart rate;
// shared by all sets, never changed.
var (
	reserveNames = categoryNames(metrics.ReserveCategories[:])
	maxHRNames   = categoryNames(metrics.MaxHRCategories[:])
)

func categoryNames(categories []metrics.Category) []string {
	names := make([]string, len(categories))
	for i, c := range categories {
		names[i] = c.Name
	}
	return names
}

// DefaultBands are the five intensity categories of Garber et al. 2011 in
// bpm: by heart-rate reserve where the resting rate is known, else by maximal
// heart rate. ok is false without a maximal rate, measured or estimated.
func DefaultBands(f Facts) (set BandSet, ok bool) {
	set = BandSet{Signal: BandHeartRate, Default: true, Estimated: f.MaxHREstimated}
	switch {
	case f.MaxHR > f.RestingHR:
		set.Names, set.Lower = reserveNames, metrics.ReserveEdges(f.RestingHR, f.MaxHR)
	case f.MaxHR > 0 && math.IsNaN(f.RestingHR):
		set.Names, set.Lower = maxHRNames, metrics.MaxHREdges(f.MaxHR)
	default:
		return BandSet{}, false
	}
	return set, true
}
