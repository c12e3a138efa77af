package metrics

import (
	"math"

	"boutwise/metrics/stats"
)

// Gait tells which oxygen cost equation applies on foot, and so which of them
// a sport starts from.
type Gait string

// The gaits.
const (
	Walking Gait = "walking"
	Running Gait = "running"
)

const (
	// RestingVO2 is the oxygen uptake at rest, one MET, in mL/kg/min.
	RestingVO2 = 3.5

	// kgmPerWattMinute turns watts into kilogram-force metres a minute with the
	// standard acceleration of gravity. Teaching texts round it to 6 or 6.12,
	// which changes the cycling cost by up to 2 %.
	kgmPerWattMinute = 60 / 9.80665

	// maxGradePct bounds grades: the published cost of gradient ends at 45 %.
	maxGradePct = 45
)

// WalkingCost is the gross oxygen cost of walking in mL/kg/min at a speed in
// m/s and a grade in percent: 3.5 + 0.1·S + 1.8·S·G with S in m/min and G as a
// fraction. WalkingCost, [RunningCost] and [CyclingCost] are the equations of
// the American College of Sports Medicine (Bushman BA, ACSM's Health Fit J
// 2020;24(4):5–8, box 1). They hold in steady state, on the level or uphill,
// at about 50 to 100 m/min.
func WalkingCost(speed, gradePct float64) float64 {
	metres := 60 * speed
	return RestingVO2 + 0.1*metres + 1.8*metres*gradePct/100
}

// RunningCost is the gross oxygen cost of running in mL/kg/min at a speed in
// m/s and a grade in percent: 3.5 + 0.2·S + 0.9·S·G. It holds above about
// 134 m/min, and from 80 m/min on for those who truly run.
func RunningCost(speed, gradePct float64) float64 {
	metres := 60 * speed
	return RestingVO2 + 0.2*metres + 0.9*metres*gradePct/100
}

// CyclingCost is the gross oxygen cost of leg cycling in mL/kg/min at a power
// in W and a body mass in kg: 7 + 1.8·W/M with W in kg·m/min, here by the exact
// factor 60/9.80665. It holds from about 50 to 200 W. NaN unless the mass is
// positive.
func CyclingCost(power, bodyMass float64) float64 {
	if !(bodyMass > 0) {
		return math.NaN()
	}
	return 2*RestingVO2 + 1.8*power*kgmPerWattMinute/bodyMass
}

// costOfGradient is the energy in J/kg that a metre on a gradient costs, of
// the gait, at a grade in percent (Minetti AE et al., J Appl Physiol
// 2002;93:1039–1046). Grades beyond ±45 % count as ±45 %.
//
// The polynomials' coefficients are from memory; they lie within one standard
// deviation of the means that the paper's abstract gives, except for walking on
// the level, where the abstract's is for the cheapest speed only.
func costOfGradient(gait Gait, gradePct float64) float64 {
	i := clampGrade(gradePct) / 100
	if gait == Running {
		return ((((155.4*i-30.4)*i-43.3)*i+46.3)*i+19.5)*i + 3.6
	}
	return ((((280.5*i-58.7)*i-76.8)*i+51.9)*i+19.6)*i + 2.5
}

// clampGrade bounds a grade in percent; NaN stays NaN.
func clampGrade(gradePct float64) float64 {
	return math.Max(-maxGradePct, math.Min(maxGradePct, gradePct))
}

// GaitLimits decides which equation a second of [OxygenCost] goes by.
type GaitLimits struct {
	RunFrom float64 // m/s, smoothed speed from which the client is taken to run
	WalkTo  float64 // m/s, smoothed speed up to which the client is taken to walk
	Smooth  int     // s, length of the centred mean that smooths the speed
}

// DefaultGaitLimits are the limits for a sport. WalkTo is 100 m/min, the end
// of the walking equation's range. In running RunFrom is 120 m/min, near where
// people change from walking to running by themselves (from memory); in
// walking it is 134 m/min, from where the running equation holds whoever
// moves. Smooth is 15 s: positions make a second's speed uncertain by a few
// tenths of a metre a second.
func DefaultGaitLimits(sport Gait) GaitLimits {
	limits := GaitLimits{RunFrom: 120.0 / 60, WalkTo: 100.0 / 60, Smooth: 15}
	if sport == Walking {
		limits.RunFrom = 134.0 / 60
	}
	return limits
}

// OxygenCost is the oxygen cost of each second in mL/kg/min from speed in m/s
// and grade in percent, columns of one length. It starts with the equation of
// the sport's own gait and changes only when the smoothed speed reaches the far
// limit, so that a speed between the two never flickers between equations,
// which lie 10 mL/kg/min and more apart.
//
// Downhill the published equations do not hold: their vertical part would
// make a brisk descent cheaper than rest. There the horizontal part is scaled
// instead by the cost of the gradient relative to the level (see costOfGradient).
//
// A second without speed or grade is NaN. A nil column gives nil: without any
// grade the cost is unknown, and a level treadmill must say so with zeros.
func OxygenCost(speed, grade []float64, sport Gait, limits GaitLimits) []float64 {
	if speed == nil || grade == nil {
		return nil
	}
	if len(speed) != len(grade) {
		panic("metrics: speed and grade of different length")
	}
	smooth := centredMean(speed, limits.Smooth)
	cost := make([]float64, len(speed))
	gait := sport
	for i := range speed {
		// A missing speed changes nothing.
		switch {
		case smooth[i] >= limits.RunFrom:
			gait = Running
		case smooth[i] <= limits.WalkTo:
			gait = Walking
		}
		cost[i] = footCost(gait, speed[i], clampGrade(grade[i]))
	}
	return cost
}

// footCost is the oxygen cost of one gait, uphill or downhill.
func footCost(gait Gait, speed, gradePct float64) float64 {
	equation := WalkingCost
	if gait == Running {
		equation = RunningCost
	}
	if gradePct >= 0 || math.IsNaN(gradePct) {
		return equation(speed, gradePct)
	}
	share := costOfGradient(gait, gradePct) / costOfGradient(gait, 0)
	return RestingVO2 + share*(equation(speed, 0)-RestingVO2)
}

// centredMean is the mean of the valid values within half the width of each
// second, shorter at the ends; NaN where there is none.
func centredMean(x []float64, width int) []float64 {
	means := make([]float64, len(x))
	half := width / 2
	for i := range x {
		means[i] = stats.Mean(x[max(0, i-half):min(len(x), i+half+1)])
	}
	return means
}
