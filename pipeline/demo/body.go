package demo

import (
	"math"
	"math/rand/v2"

	"boutwise/metrics"
	"boutwise/metrics/synthetic"
)

// body is a client's physiology. Heart rate follows the effort: a fraction of
// the oxygen uptake reserve asks for the same fraction of heart rate reserve,
// as the intensity categories of the ACSM take it to.
type body struct {
	mass             float64 // kg
	resting, maximal float64 // beats a minute; maximal as limited by medication
	vo2max           float64 // mL/kg/min, in week 1
	gain             float64 // of vo2max a week, as a fraction
	drift            float64 // beats a minute an hour, after the first ten minutes
	rise, fall       float64 // s, time constants of heart rate

	// workAboveCP, in kJ, is what can be done above critical power; only for
	// the client who does maximal efforts.
	workAboveCP float64
}

// heartDelay is how long heart rate takes to answer at all, in seconds.
const heartDelay = 6

// criticalShare is critical power's share of the uptake reserve: a common
// value for active adults, from memory.
const criticalShare = 0.76

// inWeek is the body after the training of the weeks before.
func (b body) inWeek(week int) body {
	b.vo2max *= math.Pow(1+b.gain, float64(week-1))
	return b
}

// uptake is the oxygen uptake that an effort asks for.
func (b body) uptake(effort float64) float64 {
	return metrics.RestingVO2 + effort*(b.vo2max-metrics.RestingVO2)
}

// The published equations of oxygen cost are straight lines in power, speed
// and grade, so that two points of each are enough to read it backwards.

// watts is the cycling power of an effort, 0 at least.
func (b body) watts(effort float64) float64 {
	unloaded := metrics.CyclingCost(0, b.mass)
	return max(0, (b.uptake(effort)-unloaded)/(metrics.CyclingCost(1, b.mass)-unloaded))
}

// effort is the effort that a cycling power takes.
func (b body) effort(watts float64) float64 {
	return (metrics.CyclingCost(watts, b.mass) - metrics.RestingVO2) / (b.vo2max - metrics.RestingVO2)
}

// runningSpeed is the speed of an effort on the level, in m/s.
func (b body) runningSpeed(effort float64) float64 {
	return (b.uptake(effort) - metrics.RestingVO2) / (metrics.RunningCost(1, 0) - metrics.RestingVO2)
}

// walkingGrade is the grade, in percent, at which walking at a speed in m/s
// takes the effort; 0 at least.
func (b body) walkingGrade(effort, speed float64) float64 {
	level := metrics.WalkingCost(speed, 0)
	return max(0, (b.uptake(effort)-level)/(metrics.WalkingCost(speed, 1)-level))
}

// criticalPower is the power, in W, that maximal efforts of growing length
// approach.
func (b body) criticalPower() float64 { return b.watts(criticalShare) }

// powerFor is what can be held for so many seconds at most, by the
// two-parameter model (Monod and Scherrer 1965).
func (b body) powerFor(seconds float64) float64 {
	return b.criticalPower() + 1000*b.workAboveCP/seconds
}

// Noise of heart rate: how it wanders within a session, in beats a minute,
// and from day to day, as a fraction of the reserve.
var heartNoise = synthetic.AR1{SD: 1.0, TimeConstant: 12}

const dayToDay = 0.008

// strain is what an effort asks of the heart: above critical power the oxygen
// uptake, and heart rate with it, climbs to its maximum while the work above it
// is spent (the effect as in Poole DC et al., Ergonomics 1988;31:1265–1279;
// the straight line is this program's). Below critical power what was spent
// comes back. Without a store to be spent the strain is the effort itself.
func (b body) strain(effort []float64) []float64 {
	if b.workAboveCP == 0 {
		return effort
	}
	critical, spent := b.criticalPower(), 0.0 // W, kJ
	strain := make([]float64, len(effort))
	for i, e := range effort {
		spent = min(max(0, spent+(b.watts(e)-critical)/1000), b.workAboveCP)
		strain[i] = e
		if e > criticalShare {
			strain[i] += max(0, 1-e) * spent / b.workAboveCP
		}
	}
	return strain
}

// heartRate answers an effort second by second, in beats a minute.
func (b body) heartRate(effort []float64, rng *rand.Rand) []float64 {
	reserve := b.maximal - b.resting
	form := dayToDay * rng.NormFloat64()
	demand := make([]float64, len(effort))
	for i, e := range b.strain(effort) {
		// The heart cannot be asked for more than its maximum.
		demand[i] = b.resting + reserve*min(1, max(0, e+form))
	}
	k := synthetic.Kinetics{TauOn: b.rise, TauOff: b.fall, Delay: heartDelay, DriftPerHour: b.drift}
	rate := k.Response(demand, b.resting+0.15*reserve)
	for i, e := range heartNoise.Series(rng, len(rate)) {
		rate[i] = min(rate[i]+e, b.maximal)
	}
	return rate
}
