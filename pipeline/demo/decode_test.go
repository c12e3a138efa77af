package demo

import (
	"bytes"
	"encoding/xml"
	"math"
	"strconv"
	"testing"
	"time"

	"github.com/tkrajina/gpxgo/gpx"
	"github.com/tormoder/fit"

	"boutwise/parsers/recording"
)

// decoders read an export with a library that the demonstration does not
// write with (FIT: tormoder/fit against muktihari/fit; TCX: a plain struct for
// the standard library) or, for GPX, with the one that it does.
var decoders = map[recording.Format]func(*testing.T, []byte) recording.Samples{
	recording.FIT: decodeFIT,
	recording.GPX: decodeGPX,
	recording.TCX: decodeTCX,
}

// blank is a column of missing values.
func blank(n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = math.NaN()
	}
	return x
}

// blankSamples has every channel, all missing.
func blankSamples(n int) recording.Samples {
	s := recording.Samples{TimeMS: make([]int64, n)}
	for _, c := range columns(&s) {
		*c = blank(n)
	}
	return s
}

func decodeFIT(t *testing.T, data []byte) recording.Samples {
	t.Helper()
	file, err := fit.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	a, err := file.Activity()
	if err != nil {
		t.Fatal(err)
	}
	s := blankSamples(len(a.Records))
	for i, r := range a.Records {
		s.TimeMS[i] = r.Timestamp.UnixMilli()
		put := func(x []float64, v, scale float64, valid bool) {
			if valid {
				x[i] = v / scale
			}
		}
		// The invalid values are those of the base types.
		put(s.HeartRate, float64(r.HeartRate), 1, r.HeartRate != math.MaxUint8)
		put(s.Power, float64(r.Power), 1, r.Power != math.MaxUint16)
		put(s.Cadence, float64(r.Cadence), 1, r.Cadence != math.MaxUint8)
		put(s.Temperature, float64(r.Temperature), 1, r.Temperature != math.MaxInt8)
		put(s.Grade, float64(r.Grade), 100, r.Grade != math.MaxInt16)
		put(s.Distance, float64(r.Distance), 100, r.Distance != math.MaxUint32)
		put(s.Speed, float64(r.Speed), 1000, r.Speed != math.MaxUint16)
		put(s.Speed, float64(r.EnhancedSpeed), 1000, r.EnhancedSpeed != math.MaxUint32)
		if r.PositionLat.Invalid() {
			continue
		}
		if s.Position == nil {
			s.Position = &recording.Position{Latitude: blank(len(a.Records)), Longitude: blank(len(a.Records))}
		}
		s.Position.Latitude[i], s.Position.Longitude[i] = r.PositionLat.Degrees(), r.PositionLong.Degrees()
	}
	return s
}

func decodeGPX(t *testing.T, data []byte) recording.Samples {
	t.Helper()
	doc, err := gpx.ParseBytes(data)
	if err != nil {
		t.Fatal(err)
	}
	s := recording.Samples{Position: &recording.Position{}}
	for _, segment := range doc.Tracks[0].Segments {
		for _, p := range segment.Points {
			s.TimeMS = append(s.TimeMS, p.Timestamp.UnixMilli())
			s.Position.Latitude = append(s.Position.Latitude, p.Latitude)
			s.Position.Longitude = append(s.Position.Longitude, p.Longitude)
			if p.Elevation.NotNull() {
				s.Altitude = append(s.Altitude, p.Elevation.Value())
			}
			rate := math.NaN()
			if node, ok := p.Extensions.GetNode(trackPointExtension, "TrackPointExtension"); ok {
				hr, _ := node.GetNode("hr")
				if rate, err = strconv.ParseFloat(hr.Data, 64); err != nil {
					t.Fatal(err)
				}
			}
			s.HeartRate = append(s.HeartRate, rate)
		}
	}
	return s
}

func decodeTCX(t *testing.T, data []byte) recording.Samples {
	t.Helper()
	// Elements are told by their namespaces, so that a wrong one shows.
	var doc struct {
		XMLName xml.Name `xml:"http://www.garmin.com/xmlschemas/TrainingCenterDatabase/v2 TrainingCenterDatabase"`
		Points  []struct {
			Time      time.Time
			Latitude  *float64 `xml:"Position>LatitudeDegrees"`
			Longitude *float64 `xml:"Position>LongitudeDegrees"`
			Altitude  *float64 `xml:"AltitudeMeters"`
			Distance  *float64 `xml:"DistanceMeters"`
			Heart     *float64 `xml:"HeartRateBpm>Value"`
			Cadence   *float64
			TPX       struct {
				Speed *float64 `xml:"http://www.garmin.com/xmlschemas/ActivityExtension/v2 Speed"`
				Watts *float64 `xml:"http://www.garmin.com/xmlschemas/ActivityExtension/v2 Watts"`
			} `xml:"Extensions>TPX"`
		} `xml:"Activities>Activity>Lap>Track>Trackpoint"`
	}
	if err := xml.Unmarshal(data, &doc); err != nil {
		t.Fatal(err)
	}
	n := len(doc.Points)
	s := blankSamples(n)
	for i, p := range doc.Points {
		s.TimeMS[i] = p.Time.UnixMilli()
		for _, c := range []struct {
			to   []float64
			from *float64
		}{
			{s.Altitude, p.Altitude}, {s.Distance, p.Distance}, {s.HeartRate, p.Heart},
			{s.Cadence, p.Cadence}, {s.Speed, p.TPX.Speed}, {s.Power, p.TPX.Watts},
		} {
			if c.from != nil {
				c.to[i] = *c.from
			}
		}
		if p.Latitude == nil {
			continue
		}
		if s.Position == nil {
			s.Position = &recording.Position{Latitude: blank(n), Longitude: blank(n)}
		}
		s.Position.Latitude[i], s.Position.Longitude[i] = *p.Latitude, *p.Longitude
	}
	return s
}
