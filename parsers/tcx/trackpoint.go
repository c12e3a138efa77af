package tcx

import (
	"encoding/xml"
	"fmt"
	"math"
	"time"

	"boutwise/parsers/recording"
	"boutwise/parsers/xmlstream"
)

// trackpoint reads one sample; one without a time is none.
func (a *activity) trackpoint() error {
	// Counted over all activities: a hostile file may spread its points.
	if a.samples++; a.samples > a.lim.MaxSamples {
		return a.in.Fail(fmt.Sprintf("more than %d track points", a.lim.MaxSamples))
	}
	// What the point does not hold is missing, not 0.
	nan := math.NaN()
	p := trackpoint{
		heartRate: nan, power: nan, speed: nan, distance: nan, altitude: nan,
		cadence: nan, runCadence: nan, latitude: nan, longitude: nan,
	}
	err := a.children(func(t xml.StartElement) error { return a.trackpointChild(t, &p) })
	if p.time.IsZero() {
		// One that broke off is not counted: it is damage.
		if !a.in.Broken() {
			a.untimed++
		}
		return err
	}
	// The first sample tells the zone: a client does not move on within a
	// workout, and careless writers drop the offset further down.
	if a.rec.Samples.Len() == 0 {
		a.rec.UTCOffset = xmlstream.UTCOffset(p.time)
	}
	p.appendTo(&a.rec.Samples)
	return err
}

// trackpoint is one sample as the document has it.
type trackpoint struct {
	time                                        time.Time
	heartRate, power, speed, distance, altitude float64
	cadence, runCadence                         float64 // revolutions, strides a minute
	latitude, longitude                         float64
}

// trackpointChild reads what stands in a track point, its position and its
// extension (TPX) included.
func (a *activity) trackpointChild(t xml.StartElement, p *trackpoint) error {
	switch t.Name.Local {
	// A time that cannot be read leaves the point without one, and so out.
	case "Time":
		text, err := xmlstream.Text(a.dec)
		if at, ok := a.in.Time(text); ok {
			p.time = at
		}
		return err
	// Containers, whose children have names of their own.
	case "Position", "Extensions", "TPX":
		return a.children(func(t xml.StartElement) error { return a.trackpointChild(t, p) })
	case "LatitudeDegrees":
		return a.number(&p.latitude)
	case "LongitudeDegrees":
		return a.number(&p.longitude)
	case "AltitudeMeters":
		return a.number(&p.altitude)
	case "DistanceMeters":
		return a.number(&p.distance)
	// The schema wraps a heart rate in an element Value.
	case "HeartRateBpm":
		return a.value(&p.heartRate)
	// Revolutions of the pedals a minute; a runner's stands in the extension.
	case "Cadence":
		return a.number(&p.cadence)
	case "Speed":
		return a.number(&p.speed)
	case "RunCadence":
		return a.number(&p.runCadence)
	case "Watts":
		return a.number(&p.power)
	}
	return a.skip(t)
}

// appendTo adds the sample to the columns. Cadence has two places: the track
// point's own is the pedals', the extension's is a runner's. A position off
// the globe is none.
func (p *trackpoint) appendTo(s *recording.Samples) {
	// Where both are written, the pedals were there.
	if math.IsNaN(p.cadence) {
		p.cadence = p.runCadence
	}
	if math.Abs(p.latitude) > 90 || math.Abs(p.longitude) > 180 {
		p.latitude, p.longitude = math.NaN(), math.NaN()
	}
	// Every column grows by one, whatever the point held, so that they stay in
	// step; the empty ones are dropped at the end.
	s.TimeMS = append(s.TimeMS, p.time.UnixMilli())
	s.HeartRate = append(s.HeartRate, p.heartRate)
	s.Power = append(s.Power, p.power)
	s.Speed = append(s.Speed, p.speed)
	s.Distance = append(s.Distance, p.distance)
	s.Altitude = append(s.Altitude, p.altitude)
	s.Cadence = append(s.Cadence, p.cadence)
	s.Position.Latitude = append(s.Position.Latitude, p.latitude)
	s.Position.Longitude = append(s.Position.Longitude, p.longitude)
}
