package parsertest

import (
	"errors"
	"fmt"
	"math"

	"boutwise/parsers/recording"
)

// Consistent checks what every recording promises: a sample at least, columns
// of one length, nothing infinite, and ends behind starts.
func Consistent(rec *recording.Recording) error {
	s := &rec.Samples
	n := s.Len()
	if n == 0 {
		return errors.New("no samples")
	}
	columns := map[string][]float64{
		"heart rate": s.HeartRate, "power": s.Power, "speed": s.Speed, "distance": s.Distance,
		"altitude": s.Altitude, "grade": s.Grade, "cadence": s.Cadence, "temperature": s.Temperature,
	}
	if s.Position != nil {
		columns["latitude"], columns["longitude"] = s.Position.Latitude, s.Position.Longitude
		if len(s.Position.Latitude) == 0 || len(s.Position.Longitude) == 0 {
			return errors.New("an empty position")
		}
	}
	for name, column := range columns {
		if column != nil && len(column) != n {
			return fmt.Errorf("%s has %d values for %d samples", name, len(column), n)
		}
		for i, v := range column {
			if math.IsInf(v, 0) {
				return fmt.Errorf("%s is infinite at %d", name, i)
			}
		}
	}
	for _, l := range rec.Laps {
		if l.EndMS < l.StartMS {
			return fmt.Errorf("a lap ends at %d before it starts at %d", l.EndMS, l.StartMS)
		}
	}
	for _, p := range rec.Pauses {
		if p.EndMS <= p.StartMS {
			return fmt.Errorf("a pause ends at %d, starts at %d", p.EndMS, p.StartMS)
		}
	}
	return nil
}

// Check fails unless what a parser gave is consistent and within its limits,
// or an error that names a reason. It is the property of the fuzz targets.
func Check(recs []*recording.Recording, err error, lim recording.Limits) error {
	var located *recording.ParseError
	switch {
	case err != nil && (!errors.As(err, &located) || located.Reason == nil || len(recs) > 0):
		return fmt.Errorf("%d recordings with the error %w", len(recs), err)
	case err == nil && len(recs) == 0:
		return errors.New("neither recordings nor an error")
	}
	samples, marks := 0, 0
	for i, rec := range recs {
		if err := Consistent(rec); err != nil || rec.Leg != i {
			return fmt.Errorf("leg %d, numbered %d: %w", i, rec.Leg, err)
		}
		samples += rec.Samples.Len()
		marks += len(rec.Laps) + len(rec.Pauses)
	}
	if samples > lim.MaxSamples || marks > lim.MaxMarks {
		return fmt.Errorf("%d samples and %d marks beyond the limits", samples, marks)
	}
	return nil
}
