package demo

import (
	"math"
	"math/rand/v2"

	"boutwise/metrics/synthetic"
	"boutwise/parsers/recording"
)

// kit is a client's equipment: the machine, and the device that records.
type kit struct {
	machine machine
	route   route   // outdoors
	beltKmh float64 // treadmill speed, km/h

	format  recording.Format
	name    string // of an invented device
	product uint16
	serial  uint32

	onChange bool // writes a sample only when something has changed
	laps     bool // the client presses the lap button around each bout
	pauses   bool // the client stops the recording once a session
	warm     bool // the device measures temperature

	file         string // layout of file names, by the session's local start, without extension
	gzip         bool
	archive      string // layout of the zip that holds the exports; "" for none
	folder       string // within the archive
	archiveUntil int    // the last week that goes into it; 0 for all
}

// wear turns true heart rate into what the strap reports, in whole beats. The
// trouble it is in is drawn within the middle of the session.
func wear(rate, cadence []float64, what happening, rng *rand.Rand) []float64 {
	n := len(rate)
	out := make([]float64, n)
	for i, v := range rate {
		out[i] = math.Round(v)
	}
	switch what {
	case dropouts:
		// Nine gaps, most of them too long to bridge.
		for gap := range 9 {
			from := n/10 + gap*n/12 + rng.IntN(n/40)
			for i, end := from, from+40+rng.IntN(90); i < min(n, end); i++ {
				out[i] = math.NaN()
			}
		}
	case frozen:
		from := n/3 + rng.IntN(n/10)
		for i := from; i < min(n, from+11*60); i++ {
			out[i] = out[from]
		}
	case cadenceLocked:
		// The sensor counts steps: both legs, a beat to either side.
		counted := synthetic.AR1{SD: 0.5, TimeConstant: 5}.Series(rng, n)
		from := n/8 + rng.IntN(n/10)
		for i := from; i < from+n*2/3; i++ {
			out[i] = math.Round(2*cadence[i] + counted[i])
		}
	}
	return out
}

// Limits of a device that records on change: a sample is written when power or
// heart rate has moved by this much, or after that many seconds at the
// latest. The last is below the gap that still counts as recorded.
const (
	changeWatts   = 4
	changeBeats   = 2
	changeLongest = 8
)

// onChange tells which samples such a device writes; the last one always.
func onChange(s *recording.Samples) []bool {
	keep := make([]bool, s.Len())
	last := 0
	for i := range keep {
		moved := math.Abs(s.Power[i]-s.Power[last]) >= changeWatts ||
			math.Abs(s.HeartRate[i]-s.HeartRate[last]) >= changeBeats
		if i == 0 || moved || i-last >= changeLongest || i == len(keep)-1 {
			keep[i], last = true, i
		}
	}
	return keep
}

// stop draws a stretch of 35 to 95 s in which the recording stood still: after
// the warm-up and before the first half ends or the first bout begins.
func stop(n int, bouts []span, rng *rand.Rand) span {
	before := n / 2
	if len(bouts) > 0 {
		before = min(before, bouts[0].start)
	}
	seconds := 35 + rng.IntN(60)
	from := warmupRamp + rng.IntN(before-warmupRamp-seconds)
	return span{from, from + seconds}
}

// thin keeps some of the samples.
func thin(s recording.Samples, keep []bool) recording.Samples {
	out := recording.Samples{TimeMS: kept(s.TimeMS, keep)}
	from, to := columns(&s), columns(&out)
	for i := range from {
		*to[i] = kept(*from[i], keep)
	}
	if p := s.Position; p != nil {
		out.Position = &recording.Position{Latitude: kept(p.Latitude, keep), Longitude: kept(p.Longitude, keep)}
	}
	return out
}

// columns lists the channels of samples, position apart.
func columns(s *recording.Samples) []*[]float64 {
	return []*[]float64{
		&s.HeartRate, &s.Power, &s.Speed, &s.Distance, &s.Altitude, &s.Grade, &s.Cadence, &s.Temperature,
	}
}

// kept filters one column; nil stays nil.
func kept[T any](x []T, keep []bool) []T {
	if x == nil {
		return nil
	}
	var out []T
	for i, v := range x {
		if keep[i] {
			out = append(out, v)
		}
	}
	return out
}

// pressed are the laps of a client who presses the button at the start and
// the end of each bout, up to a second late.
func pressed(s *recording.Samples, bouts []span, rng *rand.Rand) []recording.Lap {
	marks := []int{0}
	for _, b := range bouts {
		marks = append(marks, b.start+rng.IntN(2), b.end+rng.IntN(2))
	}
	marks = append(marks, s.Len()-1)
	var laps []recording.Lap
	for i := range len(marks) - 1 {
		l := lap(s, marks[i], marks[i+1])
		l.Trigger, l.Intensity = "manual", "rest"
		switch {
		case i == 0:
			l.Intensity = "warmup"
		case i%2 == 1:
			l.Intensity = "active"
		case i == len(marks)-2:
			l.Intensity = "cooldown"
		}
		laps = append(laps, l)
	}
	laps[len(laps)-1].Trigger = "session_end"
	return laps
}

// whole is the one lap of a session in which no button was pressed.
func whole(s *recording.Samples) []recording.Lap {
	l := lap(s, 0, s.Len()-1)
	l.Trigger, l.Intensity = "session_end", "active"
	return []recording.Lap{l}
}

// lap sums up the samples from one to another.
func lap(s *recording.Samples, from, to int) recording.Lap {
	l := recording.Lap{StartMS: s.TimeMS[from], EndMS: s.TimeMS[to], MeanPower: math.NaN()}
	l.MeanHeartRate, _ = meanMax(s.HeartRate[from:to])
	if s.Power != nil {
		l.MeanPower, _ = meanMax(s.Power[from:to])
	}
	return l
}

// meanMax is the mean and the largest of the values that are there; NaN where
// there is none.
func meanMax(x []float64) (mean, largest float64) {
	sum, n := 0.0, 0
	largest = math.NaN()
	for _, v := range x {
		if math.IsNaN(v) {
			continue
		}
		sum += v
		n++
		if math.IsNaN(largest) || v > largest {
			largest = v
		}
	}
	return sum / float64(n), largest
}
