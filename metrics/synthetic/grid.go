package synthetic

import (
	"math"

	"boutwise/metrics/bouts"
)

// maxBridge is the longest gap in seconds that is bridged by a straight line;
// a longer one is a pause.
const maxBridge = 10

// Input puts a session's samples on the 1 Hz grid that the finder is given: a
// gap of at most ten seconds between two samples is bridged by a straight
// line and marked as not observed; a longer one is a pause, missing and
// marked as not recorded. A channel that drops out within a recording is
// bridged or missing by the same rule, but stays recorded.
func (s Session) Input() bouts.Input {
	raw := s.Samples
	n := raw.Time[len(raw.Time)-1] + 1
	in := bouts.Input{
		Signal:   s.Signal,
		Recorded: make([]bool, n),
		Observed: make([]bool, n),
	}
	for k, t := range raw.Time {
		in.Recorded[t] = true
		if k > 0 && t-raw.Time[k-1] <= maxBridge {
			for i := raw.Time[k-1]; i < t; i++ {
				in.Recorded[i] = true
			}
		}
	}
	in.Values = gridded(raw.Time, raw.Value, n, in.Observed)
	if raw.HeartRate != nil {
		in.HeartRate = gridded(raw.Time, raw.HeartRate, n, nil)
	}
	if raw.Altitude != nil {
		in.Altitude = gridded(raw.Time, raw.Altitude, n, nil)
	}
	return in
}

// gridded bridges one channel; observed, when given, marks the seconds that
// hold a sample of their own.
func gridded(time []int, values []float64, n int, observed []bool) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = math.NaN()
	}
	last := -1
	for k, t := range time {
		v := values[k]
		if math.IsNaN(v) {
			continue
		}
		out[t] = v
		if observed != nil {
			observed[t] = true
		}
		if last >= 0 && t-last <= maxBridge {
			for i := last + 1; i < t; i++ {
				f := float64(i-last) / float64(t-last)
				out[i] = out[last] + (v-out[last])*f
			}
		}
		last = t
	}
	return out
}
