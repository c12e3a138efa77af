package pipeline

import (
	"math"

	"boutwise/metrics"
	"boutwise/metrics/bouts"
	"boutwise/metrics/stats"
	"boutwise/parsers/recording"
)

// minSignalCoverage is the least share of recorded seconds in which a signal
// must be valid before bouts are looked for in it.
const minSignalCoverage = 0.5

// minPoweredShare is the least share of valid seconds above zero for power to
// be the output: a meter that was paired and never answered reads zero.
const minPoweredShare = 0.1

// output is a signal that bouts can be looked for in.
type output struct {
	signal bouts.Signal
	values []float64
}

// outputs lists the signals of a session that bouts can be looked for in, the
// preferred first: power, oxygen cost, speed, heart rate. Cycling speed is
// never among them: it tells of wind and hills, not of the client.
func outputs(tr *metrics.Trace, gait metrics.Gait, grade []float64) []output {
	var list []output
	add := func(signal bouts.Signal, values []float64) {
		if coverage(tr, values) >= minSignalCoverage {
			list = append(list, output{signal, values})
		}
	}
	if poweredShare(tr.Power) >= minPoweredShare {
		add(bouts.Power, tr.Power)
	}
	if gait != "" {
		add(bouts.OxygenCost, metrics.OxygenCost(tr.Speed, grade, gait, metrics.DefaultGaitLimits(gait)))
		add(bouts.Speed, tr.Speed)
	}
	add(bouts.HeartRate, tr.HeartRate)
	return list
}

// coverage is the share of recorded seconds in which a column is valid.
func coverage(tr *metrics.Trace, col []float64) float64 {
	recorded := tr.RecordedSeconds()
	if recorded == 0 {
		return 0
	}
	valid := 0
	for i, v := range col {
		if tr.Recorded[i] && !math.IsNaN(v) {
			valid++
		}
	}
	return float64(valid) / float64(recorded)
}

func poweredShare(power []float64) float64 {
	valid, powered := 0, 0
	for _, v := range power {
		if math.IsNaN(v) {
			continue
		}
		valid++
		if v > 0 {
			powered++
		}
	}
	if valid == 0 {
		return 0
	}
	return float64(powered) / float64(valid)
}

// Where an export names no sport, a client whose speed stays in these bounds
// (m/s) is on foot: cyclists exceed the quantile sooner or later. Common
// practice, no source.
const (
	footQuantile    = 0.95
	maxUnnamedFoot  = 4.0
	minUnnamedFoot  = 0.7
	maxUnnamedWalk  = 2.1
	minUnnamedSpeed = 300 // seconds with a speed before one is judged
)

// gaitOf tells how a client on foot moves, "" for one who is not on foot.
func gaitOf(sport recording.Sport, speed []float64) metrics.Gait {
	switch sport {
	case recording.Running:
		return metrics.Running
	case recording.Walking:
		return metrics.Walking
	case recording.Other:
		counts := metrics.CountValues(speed)
		if counts.Seconds() < minUnnamedSpeed {
			return ""
		}
		high, median := stats.Quantile(speed, footQuantile), stats.Median(speed)
		switch {
		case high > maxUnnamedFoot || median < minUnnamedFoot:
			return ""
		case high > maxUnnamedWalk:
			return metrics.Running
		default:
			return metrics.Walking
		}
	}
	return ""
}

// gradeOf is the measured grade, or where the device has none the slope of
// its altitude over its distance. Indoors an altitude is the weather.
func gradeOf(tr *metrics.Trace, indoor bool) []float64 {
	if coverage(tr, tr.Grade) >= minSignalCoverage {
		return tr.Grade
	}
	if indoor {
		return nil
	}
	return metrics.GradeFromAltitude(tr.Distance, tr.Altitude, metrics.GradeWindow)
}
