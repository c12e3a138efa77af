package coach

import (
	"fmt"
	"math"
	"slices"

	"boutwise/metrics"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/tables"
)

// maximalUptake estimates VO2max from steady submaximal stages. No row without
// any stage: there is nothing to refuse.
func (r *review) maximalUptake() []tables.Capacity {
	set := r.set.Capacity
	sport, stages := r.stages(r.asOf - calendar.Date(set.StageDays) + 1)
	if len(stages) == 0 {
		return nil
	}
	const quantity = "vo2max_ml_kg_min"
	method := fmt.Sprintf("ACSM oxygen cost of %s in %d days, heart rate extended to its maximum (NHANES manual, appendix G); "+
		"stages are bouts, with the heart rate at three quarters of each, and base sessions, with their means, warm-up and drift included; limits are one standard error",
		sport, set.StageDays)
	facts := r.practice.FactsOn(r.client.ID, r.asOf)
	if facts.HRLimitingMedication {
		return []tables.Capacity{r.refused(quantity, method,
			fmt.Errorf("%w: medication limits heart rate, so it cannot be extended to a maximum", metrics.ErrRefused))}
	}
	maxErr, maximum := 0.0, "measured"
	if facts.MaxHREstimated {
		maxErr, maximum = metrics.TanakaSD, "estimated by age (Tanaka et al. 2001)"
	}
	fit, err := metrics.ExtrapolateVO2Max(stages, facts.MaxHR, maxErr, set.CapacityLimits)
	if err != nil {
		return []tables.Capacity{r.refused(quantity, method, err)}
	}
	evidence := fmt.Sprintf("%d stages, %.2f bpm per mL/kg/min, maximal heart rate %.0f bpm %s", fit.Stages, fit.Slope, facts.MaxHR, maximum)
	return []tables.Capacity{r.capacity(quantity, fit.Value, fit.Low, fit.High, method, evidence)}
}

// cycling is the sport, as the sessions name it, whose oxygen cost follows from
// power and body mass.
const cycling = "cycling"

// oxygenCost is the session's mean oxygen cost in mL/kg/min: on foot where it
// is the output, on a bicycle from mean power, in which it is a straight line.
// NaN for any other.
func (v *view) oxygenCost() float64 {
	if v.Session.Sport == cycling {
		return metrics.CyclingCost(tables.Value(v.Session.MeanPower), v.Facts.BodyMass)
	}
	return tables.Value(v.Session.MeanOxygenCost)
}

// stages gathers steady submaximal work since a day, in the sport of the latest
// session that has any: what a given oxygen uptake costs the heart differs
// between sports, and so do the equations.
func (r *review) stages(since calendar.Date) (sport string, all []metrics.Stage) {
	for _, v := range slices.Backward(r.sessions) {
		if v.Session.LocalDate < since || sport != "" && v.Session.Sport != sport {
			continue
		}
		if of := r.stagesOf(v); len(of) > 0 {
			sport, all = v.Session.Sport, append(all, of...)
		}
	}
	return sport, all
}

// stagesOf are the stages of one session: bouts long enough for heart rate to
// settle, each with its rate at three quarters of it; of a base session, whose
// settled part the rows do not hold, the means of the whole. Its warm-up lowers
// the mean rate, its drift raises it.
func (r *review) stagesOf(v *view) (all []metrics.Stage) {
	if v.distrusted() {
		return nil
	}
	set := r.set.Capacity
	highest := set.StageMaxHRPct * v.Facts.MaxHR / 100
	add := func(hr, cost float64) {
		if hr <= highest && !math.IsNaN(cost) {
			all = append(all, metrics.Stage{HR: hr, VO2: cost})
		}
	}
	for _, b := range v.confirmed {
		if b.DurationS >= set.StageS {
			add(tables.Value(b.HRAtThreeQuarters), tables.Value(b.MeanOxygenCost))
		}
	}
	if v.kind() == metrics.Base {
		add(tables.Value(v.Session.MeanHR), v.oxygenCost())
	}
	return all
}
