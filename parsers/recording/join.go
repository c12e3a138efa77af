package recording

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// joinGap is the longest gap between two parts of one export that are one
// outing. A device that is restarted, stopped in traffic or put aside while
// clothes are changed goes on within minutes, and some writers make a part of
// each lap; who begins again later has begun another workout. Common practice,
// no source.
const joinGap = 15 * time.Minute

// Join makes one recording of consecutive parts of an export that are one
// outing: equal in sport and in being indoors, and each begun no more than 15
// minutes after the one before it ended, and no sooner. A part that names no
// sport (an empty one, which [Other] is not) is of the sport of its neighbour.
// Between two parts lies a pause, and distances go on where the part before
// ended. The recordings given, of which each has a sample, are used up; their
// legs are not numbered anew.
func Join(parts []*Recording) []*Recording {
	var joined []*Recording
	var endMS int64 // of the last one
	for _, part := range parts {
		startMS := slices.Min(part.Samples.TimeMS)
		if n := len(joined); n > 0 && joined[n-1].continuedBy(part, startMS-endMS) {
			if endMS < startMS {
				joined[n-1].Pauses = append(joined[n-1].Pauses, Pause{StartMS: endMS, EndMS: startMS})
			}
			joined[n-1].add(part)
		} else {
			joined = append(joined, part)
		}
		endMS = slices.Max(part.Samples.TimeMS)
	}
	for _, r := range joined {
		r.Sport = cmp.Or(r.Sport, Other)
	}
	return joined
}

// continuedBy tells whether a part that begins some time after r is the same
// outing.
func (r *Recording) continuedBy(part *Recording, gapMS int64) bool {
	isSame := r.Sport == part.Sport && r.Indoor == part.Indoor || r.Sport == "" || part.Sport == ""
	return isSame && gapMS >= 0 && gapMS <= joinGap.Milliseconds()
}

// add appends what a later part holds.
func (r *Recording) add(part *Recording) {
	r.Samples.add(&part.Samples)
	r.Laps = append(r.Laps, part.Laps...)
	r.Pauses = append(r.Pauses, part.Pauses...)
	// The device summed up each part and never the whole.
	r.Totals = NoTotals()
	if r.Sport == "" {
		r.Sport, r.Indoor = part.Sport, part.Indoor
	}
	if r.UTCOffset == nil {
		r.UTCOffset = part.UTCOffset
	}
	if r.RatedExertion == nil {
		r.RatedExertion = part.RatedExertion
	}
	if r.Device == (Device{}) {
		r.Device = part.Device
	}
}

// add appends later samples.
func (s *Samples) add(later *Samples) {
	carryOn(s.Distance, later.Distance)
	n, more := s.Len(), later.Len()
	extend := func(column *[]float64, by []float64) { *column = extended(*column, by, n, more) }
	extend(&s.HeartRate, later.HeartRate)
	extend(&s.Power, later.Power)
	extend(&s.Speed, later.Speed)
	extend(&s.Distance, later.Distance)
	extend(&s.Altitude, later.Altitude)
	extend(&s.Grade, later.Grade)
	extend(&s.Cadence, later.Cadence)
	extend(&s.Temperature, later.Temperature)
	if s.Position != nil || later.Position != nil {
		s.Position, later.Position = s.Position.orNone(), later.Position.orNone()
		extend(&s.Position.Latitude, later.Position.Latitude)
		extend(&s.Position.Longitude, later.Position.Longitude)
	}
	s.TimeMS = append(s.TimeMS, later.TimeMS...)
}

// orNone gives empty columns for none.
func (p *Position) orNone() *Position {
	if p == nil {
		return &Position{}
	}
	return p
}

// extended appends one column of more values to another of n; nil stands for a
// channel that a part does not carry.
func extended(column, by []float64, n, more int) []float64 {
	switch {
	case column == nil && by == nil:
		return nil
	case column == nil:
		column = missing(nil, n)
	case by == nil:
		return missing(column, more)
	}
	return append(column, by...)
}

// missing appends n values that were not measured.
func missing(column []float64, n int) []float64 {
	column = slices.Grow(column, n)
	for range n {
		column = append(column, math.NaN())
	}
	return column
}

// carryOn makes distances that begin anew go on where those before them ended.
// Some writers count through all parts: then there is nothing to do.
func carryOn(before, distance []float64) {
	end, start := math.NaN(), math.NaN()
	for _, d := range slices.Backward(before) {
		if !math.IsNaN(d) {
			end = d
			break
		}
	}
	for _, d := range distance {
		if !math.IsNaN(d) {
			start = d
			break
		}
	}
	// Also false where either is missing.
	if start < end {
		for i := range distance {
			distance[i] += end
		}
	}
}
