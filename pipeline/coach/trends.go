package coach

import (
	"fmt"
	"math"

	"boutwise/metrics"
	"boutwise/metrics/bouts"
	"boutwise/metrics/stats"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/tables"
)

// daysPerMonth is the mean length of a month.
const daysPerMonth = 365.25 / 12

// trends tells what rises and falls over the months.
func (r *review) trends() []tables.Capacity {
	measures := []struct {
		quantity, what string
		relative       bool // told in percent of its median
		of             func(*view) float64
	}{
		{"base_output_trend_pct_per_month", "output at a fixed heart rate in base sessions", true, func(v *view) float64 { return v.perBeat }},
		{"base_hr_drift_trend_points_per_month", "heart-rate drift in base sessions", false, r.baseDrift},
		{"interval_output_trend_pct_per_month", "mean output of interval bouts", true, intervalOutput},
	}
	var rows []tables.Capacity
	for _, m := range measures {
		days, values := r.series(m.of)
		if len(values) < r.set.Capacity.TrendSessions {
			continue // a young client has no trend to refuse
		}
		rows = append(rows, r.trend(m.quantity, m.what, m.relative, days, values))
	}
	return rows
}

// series is a measure over the sessions of the trend's window, of the sport
// and signal of the latest session that has it: others are not comparable.
func (r *review) series(of func(*view) float64) (days, values []float64) {
	since := r.asOf - calendar.Date(r.set.Capacity.TrendDays) + 1
	var latest *view
	for i := len(r.sessions) - 1; i >= 0; i-- {
		v := r.sessions[i]
		x := of(v)
		if v.Session.LocalDate < since || math.IsNaN(x) {
			continue
		}
		if latest == nil {
			latest = v
		}
		if comparable(v, latest) {
			days, values = append(days, float64(v.Session.LocalDate)), append(values, x)
		}
	}
	return days, values
}

// trend is the Theil–Sen slope a month, with the word that the Mann–Kendall
// test allows.
func (r *review) trend(quantity, what string, relative bool, days, values []float64) tables.Capacity {
	found := stats.Trend(days, values, r.set.Capacity.TrendP)
	scale := daysPerMonth
	if relative {
		scale *= 100 / stats.Median(values)
	}
	method := fmt.Sprintf("Theil-Sen slope (Sen 1968) with %.0f %% limits over %d days; direction by the Mann-Kendall test, two-sided, at %g",
		100*(1-r.set.Capacity.TrendP), r.set.Capacity.TrendDays, r.set.Capacity.TrendP)
	evidence := fmt.Sprintf("%s: %s, %d sessions, %s", what, found.Direction, found.Test.N, chance(found.Test.P))
	return r.capacity(quantity, scale*found.Line.Slope, scale*found.Line.Low, scale*found.Line.High, method, evidence)
}

// chance writes a probability; one that rounds to nothing is not nothing.
func chance(p float64) string {
	if p < 0.0005 {
		return "p < 0.001"
	}
	return fmt.Sprintf("p = %.3f", p)
}

// baseDrift is a base session's heart-rate drift; NaN for any other and where
// the sensor is not to be believed.
func (r *review) baseDrift(v *view) float64 {
	if !v.isBase() || v.distrusted() || v.Facts.HRLimitingMedication {
		return math.NaN()
	}
	return tables.Value(v.Session.HRDrift)
}

// intervalOutput is the mean output of an interval session's bouts, each
// weighing by its length; NaN for any other session.
func intervalOutput(v *view) float64 {
	if v.kind() != metrics.Intervals {
		return math.NaN()
	}
	work, seconds := 0.0, 0.0
	for _, b := range v.confirmed {
		work += b.DurationS * boutOutput(b)
		seconds += b.DurationS
	}
	return work / seconds
}

// boutOutput is a bout's mean output in the unit of its signal.
func boutOutput(b tables.Bout) float64 {
	switch bouts.Signal(b.Signal) {
	case bouts.Power:
		return tables.Value(b.MeanPower)
	case bouts.OxygenCost:
		return tables.Value(b.MeanOxygenCost)
	case bouts.Speed:
		return tables.Value(b.MeanSpeed)
	}
	return math.NaN()
}
