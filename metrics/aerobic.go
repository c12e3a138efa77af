package metrics

import (
	"fmt"
	"math"

	"boutwise/metrics/stats"
)

// Stage is a steady stage of submaximal work.
type Stage struct {
	HR  float64 // mean heart rate of its settled part, bpm
	VO2 float64 // oxygen cost of the work, mL/kg/min
}

// VO2Max is an extrapolated maximal oxygen uptake in mL/kg/min.
type VO2Max struct {
	Value     float64
	StdErr    float64
	Low, High float64 // Value ± StdErr: about two chances in three
	Slope     float64 // bpm per mL/kg/min
	Intercept float64 // bpm
	Stages    int
}

// ExtrapolateVO2Max extends the line of heart rate over oxygen cost, through
// two or more steady stages, to the maximal heart rate: the method of the
// NHANES Cardiovascular Fitness Procedures Manual, appendix G. maxHRErr is the
// standard error of the maximal rate in bpm, [TanakaSD] where it is estimated
// from age and 0 where it was measured.
//
// The standard error joins the regression's and that of the maximal rate, and
// is never below limits.MinVO2Error of the value: steady heart rate differs
// from day to day, and the line is not quite straight. The estimate is refused
// with an error that wraps [ErrRefused] for fewer than two stages, a heart rate
// that hardly rises or rises above the maximum, or an implausible result.
func ExtrapolateVO2Max(stages []Stage, maxHR, maxHRErr float64, limits CapacityLimits) (VO2Max, error) {
	refuse := func(format string, args ...any) (VO2Max, error) {
		return VO2Max{}, fmt.Errorf("maximal oxygen uptake: %w: %s", ErrRefused, fmt.Sprintf(format, args...))
	}
	var hr, vo2 []float64
	lowest, highest := math.Inf(1), math.Inf(-1)
	for _, s := range stages {
		if s.HR > 0 && s.VO2 > 0 {
			hr, vo2 = append(hr, s.HR), append(vo2, s.VO2)
			lowest, highest = min(lowest, s.HR), max(highest, s.HR)
		}
	}
	switch {
	case !(maxHR > 0):
		return refuse("no maximal heart rate")
	case len(hr) < 2:
		return refuse("%d steady stages, 2 needed", len(hr))
	case highest-lowest < limits.MinStageRise:
		return refuse("heart rate rises by %.0f bpm between stages, %g needed", highest-lowest, limits.MinStageRise)
	case highest >= maxHR:
		return refuse("a stage at %.0f bpm is not below the maximal heart rate of %.0f bpm", highest, maxHR)
	}

	fit, err := stats.LinearFit(vo2, hr)
	if err != nil {
		return refuse("all stages have the same oxygen cost")
	}
	estimate := VO2Max{Intercept: fit.Coef[0], Slope: fit.Coef[1], Stages: fit.N}
	if estimate.Slope <= 0 {
		return refuse("heart rate does not rise with oxygen cost")
	}
	estimate.Value = (maxHR - estimate.Intercept) / estimate.Slope
	if estimate.Value < limits.VO2Low || estimate.Value > limits.VO2High {
		return refuse("%.0f mL/kg/min is outside the plausible %g to %g", estimate.Value, limits.VO2Low, limits.VO2High)
	}
	estimate.StdErr = vo2Error(fit, estimate, maxHRErr, limits)
	estimate.Low, estimate.High = interval(estimate.Value, estimate.StdErr)
	return estimate, nil
}

// vo2Error is the standard error of the extrapolated value: the error of the
// line at that place and of the maximal rate, divided by the slope. Two stages
// leave the line's error unknown; then only the floor and the rate's count.
func vo2Error(fit stats.Fit, estimate VO2Max, maxHRErr float64, limits CapacityLimits) float64 {
	line := 0.0
	if fit.DF > 0 {
		line = fit.ValueStdErr(1, estimate.Value)
	}
	extrapolated := math.Hypot(line, maxHRErr) / estimate.Slope
	return max(extrapolated, limits.MinVO2Error*estimate.Value)
}
