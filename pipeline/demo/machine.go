package demo

import (
	"math"
	"math/rand/v2"

	"boutwise/metrics"
	"boutwise/metrics/bouts"
	"boutwise/metrics/synthetic"
	"boutwise/parsers/recording"
)

// machine is what a client trains on: how effort becomes output, and how
// unevenly.
type machine struct {
	sport  recording.Sport
	indoor bool
	signal bouts.Signal

	// edge is how long a change of level takes, in seconds.
	edge int

	// unsteady is noise in the output as a fraction of it.
	unsteady synthetic.AR1

	// terrain is noise in the effort itself, which the heart feels: hills and
	// wind on the road.
	terrain synthetic.AR1

	// drive fills the columns that the machine measures from effort and
	// noise, and returns the output in the signal's unit.
	drive func(s *recording.Samples, c client, b body, effort, noise []float64, rng *rand.Rand) []float64
}

// The machines of the practice.
var (
	ergometer = machine{
		sport: recording.Cycling, indoor: true, signal: bouts.Power, edge: 3,
		unsteady: synthetic.AR1{SD: 0.02, TimeConstant: 1.5}, drive: pedal,
	}
	treadmill = machine{
		sport: recording.Walking, indoor: true, signal: bouts.OxygenCost, edge: 9, drive: climb,
	}
	roadRun = machine{
		sport: recording.Running, signal: bouts.Speed, edge: 4,
		unsteady: synthetic.AR1{SD: 0.016, TimeConstant: 4}, drive: run,
	}
	trailRun = machine{
		sport: recording.Running, signal: bouts.OxygenCost, edge: 4,
		unsteady: synthetic.AR1{SD: 0.016, TimeConstant: 4}, drive: runHills,
	}
	roadRide = machine{
		sport: recording.Cycling, signal: bouts.HeartRate, edge: 6,
		unsteady: synthetic.AR1{SD: 0.09, TimeConstant: 30}, terrain: synthetic.AR1{SD: 0.03, TimeConstant: 40}, drive: ride,
	}
)

// pedal is work on an ergometer: power and cadence.
func pedal(s *recording.Samples, _ client, b body, effort, noise []float64, rng *rand.Rand) []float64 {
	n := len(effort)
	s.Power, s.Cadence = make([]float64, n), make([]float64, n)
	turning := synthetic.AR1{SD: 1.5, TimeConstant: 15}.Series(rng, n)
	for i, e := range effort {
		s.Power[i] = math.Round(b.watts(e) * (1 + noise[i]))
		// Harder work is turned a little faster.
		s.Cadence[i] = math.Round(64 + 16*e + turning[i])
	}
	return s.Power
}

// gradeStep is the finest incline that a treadmill sets, in percent.
const gradeStep = 0.5

// climb is walking on a treadmill at one belt speed, the incline set by
// effort. The console reports what is set, without noise.
func climb(s *recording.Samples, c client, b body, effort, _ []float64, rng *rand.Rand) []float64 {
	n := len(effort)
	speed := round(c.kit.beltKmh/3.6, 0.001)
	s.Speed, s.Grade, s.Cadence = make([]float64, n), make([]float64, n), make([]float64, n)
	stride := synthetic.AR1{SD: 0.8, TimeConstant: 20}.Series(rng, n)
	cost := make([]float64, n)
	for i, e := range effort {
		s.Speed[i] = speed
		s.Grade[i] = round(b.walkingGrade(e, speed), gradeStep)
		s.Cadence[i] = math.Round(54 + stride[i])
		cost[i] = metrics.WalkingCost(speed, s.Grade[i])
	}
	s.Distance = travelled(s.Speed)
	return cost
}

// run is running outdoors on the level: speed, cadence, and where on the loop.
func run(s *recording.Samples, c client, b body, effort, noise []float64, rng *rand.Rand) []float64 {
	n := len(effort)
	s.Speed, s.Cadence = make([]float64, n), make([]float64, n)
	stride := synthetic.AR1{SD: 0.7, TimeConstant: 20}.Series(rng, n)
	for i, e := range effort {
		s.Speed[i] = round(b.runningSpeed(e)*(1+noise[i]), 0.001)
		// Strides of one leg; longer ones do most of the work of speeding up.
		s.Cadence[i] = math.Round(74 + 2.6*s.Speed[i] + stride[i])
	}
	s.Distance = travelled(s.Speed)
	c.kit.route.follow(s, rng)
	return s.Speed
}

// runHills is running where it rises and falls a little, with a device that
// tells the altitude. The runner keeps to a speed, and the cost follows.
func runHills(s *recording.Samples, c client, b body, effort, noise []float64, rng *rand.Rand) []float64 {
	speed := run(s, c, b, effort, noise, rng)
	grade := c.kit.route.climb(s)
	return metrics.OxygenCost(speed, grade, metrics.Running, metrics.DefaultGaitLimits(metrics.Running))
}

// rideSpeed is the speed of a base ride, in m/s.
const rideSpeed = 5.9

// ride is cycling outdoors without a power meter: speed, which wind and hills
// make nearly useless, and position. Only the heart tells the effort.
func ride(s *recording.Samples, c client, _ body, effort, noise []float64, rng *rand.Rand) []float64 {
	n := len(effort)
	s.Speed = make([]float64, n)
	for i, e := range effort {
		// Against the air power grows with the cube of speed; on the whole
		// the square root is nearer.
		s.Speed[i] = round(rideSpeed*math.Sqrt(e/c.habits.base)*(1+noise[i]), 0.001)
	}
	s.Distance = travelled(s.Speed)
	c.kit.route.follow(s, rng)
	c.kit.route.climb(s)
	return s.Speed
}

// travelled adds up speed at 1 Hz to distance in metres, in centimetres.
func travelled(speed []float64) []float64 {
	d := make([]float64, len(speed))
	total := 0.0
	for i, v := range speed {
		if i > 0 {
			total += v
		}
		d[i] = round(total, 0.01)
	}
	return d
}

// round rounds to a multiple of step.
func round(v, step float64) float64 { return math.Round(v/step) * step }
