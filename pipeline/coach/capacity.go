package coach

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"boutwise/metrics"
	"boutwise/metrics/bouts"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/tables"
)

// capacities estimates what the client can do.
func (r *review) capacities() []tables.Capacity {
	return slices.Concat(r.criticalPower(), r.maximalUptake(), r.trends())
}

// capacity is one estimate; without value when the data cannot bear one.
func (r *review) capacity(quantity string, value, low, high float64, method, evidence string) tables.Capacity {
	return tables.Capacity{
		ClientID: r.client.ID, AsOf: r.asOf, Quantity: quantity,
		Value: tables.Num(value), Low: tables.Num(low), High: tables.Num(high),
		Method: method, Evidence: evidence,
	}
}

// refused is an estimate that the data cannot bear.
func (r *review) refused(quantity, method string, err error) tables.Capacity {
	return r.capacity(quantity, math.NaN(), math.NaN(), math.NaN(), method, err.Error())
}

// effort is a maximal bout and its day.
type effort struct {
	metrics.Effort
	day calendar.Date
}

// maximalBouts lists the maximal bouts by power since a day: those whose heart
// rate came close to the measured maximum, and those of sessions that the
// client rated as all-out. One of a set of like length is none: whoever could do
// it again held back, however high heart rate climbed. byPower tells whether
// there were any bouts by power.
func (r *review) maximalBouts(since calendar.Date) (efforts []effort, byPower bool) {
	set := r.set.Capacity
	for i := range r.sessions {
		v := r.sessions[i]
		if v.Session.LocalDate < since {
			continue
		}
		rated := tables.Value(v.Session.RatedExertion) >= set.MaximalExertion
		for _, b := range v.confirmed {
			if b.Signal != string(bouts.Power) || b.MeanPower == nil || b.DurationS < set.MinSeconds || b.DurationS > set.MaxSeconds {
				continue
			}
			byPower = true
			if (rated || r.nearMaximum(v, tables.Value(b.PeakHR))) && !v.repeats(&b) {
				efforts = append(efforts, effort{metrics.Effort{Seconds: b.DurationS, Watts: *b.MeanPower}, v.Session.LocalDate})
			}
		}
	}
	return efforts, byPower
}

// repeats tells a bout that has another one of about its length beside it.
func (v *view) repeats(b *tables.Bout) bool {
	for i := range v.confirmed {
		o := &v.confirmed[i]
		if o.Bout != b.Bout && max(o.DurationS, b.DurationS) <= alikeRatio*min(o.DurationS, b.DurationS) {
			return true
		}
	}
	return false
}

// nearMaximum tells a peak heart rate that only a maximal effort reaches.
func (r *review) nearMaximum(v *view, peak float64) bool {
	f := v.Facts
	return !f.MaxHREstimated && !f.HRLimitingMedication && !v.distrusted() && peak >= r.set.Capacity.MaximalHRPct*f.MaxHR/100
}

// best keeps, of efforts of about the same length, the one with the highest
// power: a client who reached the same heart rate at less was tired or warm.
func best(efforts []effort) []effort {
	sorted := slices.Clone(efforts)
	slices.SortStableFunc(sorted, func(a, b effort) int { return cmp.Compare(b.Watts, a.Watts) })
	var kept []effort
	for _, e := range sorted {
		alike := func(k effort) bool {
			return max(e.Seconds, k.Seconds) <= alikeRatio*min(e.Seconds, k.Seconds)
		}
		if !slices.ContainsFunc(kept, alike) {
			kept = append(kept, e)
		}
	}
	slices.SortFunc(kept, func(a, b effort) int { return cmp.Compare(a.Seconds, b.Seconds) })
	return kept
}

// heldMinutes are the bout lengths whose power is told from critical power.
var heldMinutes = []float64{3, 4, 5, 6, 8}

// criticalPower fits the two-parameter model to the maximal bouts of the
// window, and tells from it what could be held for the lengths of the trade.
// No row without any bout by power: there is nothing to refuse.
func (r *review) criticalPower() []tables.Capacity {
	set := r.set.Capacity
	all, byPower := r.maximalBouts(r.asOf - calendar.Date(set.WindowDays) + 1)
	if !byPower {
		return nil
	}
	const quantity = "critical_power_w"
	method := fmt.Sprintf("two-parameter model, power on inverse time (Monod and Scherrer 1965), maximal bouts of %.0f to %.0f s in %d days, %.0f %% limits",
		set.MinSeconds, set.MaxSeconds, set.WindowDays, 100*set.Confidence)
	kept := best(all)
	efforts := make([]metrics.Effort, len(kept))
	for i, e := range kept {
		efforts[i] = e.Effort
	}
	fit, err := metrics.EstimateCriticalPower(efforts, set.CapacityLimits)
	if err != nil {
		return []tables.Capacity{r.refused(quantity, method, err)}
	}
	evidence := describe(kept)
	rows := []tables.Capacity{
		r.capacity(quantity, fit.CP, fit.CPLow, fit.CPHigh, method, evidence),
		r.capacity("work_above_critical_power_kj", fit.WPrime/1000, fit.WPrimeLow/1000, fit.WPrimeHigh/1000, method, evidence),
	}
	for _, minutes := range heldMinutes {
		watts, low, high := fit.PowerFor(60 * minutes)
		rows = append(rows, r.capacity(fmt.Sprintf("power_for_%.0f_min_w", minutes), watts, low, high, method, evidence))
	}
	return rows
}

// describe lists efforts in words.
func describe(efforts []effort) string {
	text := ""
	for i, e := range efforts {
		if i > 0 {
			text += ", "
		}
		text += fmt.Sprintf("%.0f W for %.0f s on %s", e.Watts, e.Seconds, e.day)
	}
	return text
}
