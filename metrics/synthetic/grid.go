package synthetic

import (
	"boutwise/metrics"
	"boutwise/metrics/bouts"
)

// Input puts a session's samples on the 1 Hz grid and cleans them as any
// recording is, and picks the signal from it.
func (s Session) Input() bouts.Input {
	tr, _ := metrics.BuildTrace(s.columns(), s.Signal == bouts.Speed || s.Signal == bouts.OxygenCost)
	in := bouts.Input{
		Signal:    s.Signal,
		Recorded:  tr.Recorded,
		Observed:  tr.Observed,
		Altitude:  tr.Altitude,
		HeartRate: tr.HeartRate,
	}
	switch s.Signal {
	case bouts.Power:
		in.Values = tr.Power
	case bouts.Speed:
		in.Values = tr.Speed
	case bouts.OxygenCost:
		gait, grade := metrics.Walking, tr.Grade
		if s.Samples.Grade == nil {
			gait, grade = metrics.Running, metrics.GradeFromAltitude(tr.Distance, tr.Altitude, metrics.GradeWindow)
		}
		in.Values = metrics.OxygenCost(tr.Speed, grade, gait, metrics.DefaultGaitLimits(gait))
	case bouts.HeartRate:
		in.Values, in.HeartRate = tr.HeartRate, nil
	}
	return in
}

// columns sorts the samples into the channels that the device would have
// written.
func (s Session) columns() metrics.Columns {
	raw := s.Samples
	c := metrics.Columns{TimeMS: make([]int64, len(raw.Time))}
	for i, t := range raw.Time {
		c.TimeMS[i] = int64(t) * 1000
	}
	c.HeartRate, c.Altitude, c.Grade, c.Distance = raw.HeartRate, raw.Altitude, raw.Grade, raw.Distance
	switch s.Signal {
	case bouts.Power:
		c.Power = raw.Value
	case bouts.HeartRate:
		c.HeartRate = raw.Value
	default:
		c.Speed = raw.Value
	}
	return c
}
