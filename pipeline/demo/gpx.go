package demo

import (
	"strconv"

	"github.com/tkrajina/gpxgo/gpx"

	"boutwise/parsers/recording"
)

// trackPointExtension is the namespace in which heart rate is commonly kept
// in GPX; the prefix is the writer's choice.
const (
	trackPointExtension = "http://www.garmin.com/xmlschemas/TrackPointExtension/v1"
	trackPointPrefix    = "tpe"
)

// encodeGPX writes a recording as a GPX 1.1 track: positions, altitude, time
// and, as an extension, heart rate. The format has no place for power, and
// none that is common for speed. A pause begins a new segment.
func encodeGPX(rec *recording.Recording) ([]byte, error) {
	doc := gpx.GPX{Version: "1.1", Creator: rec.Device.Name}
	doc.RegisterNamespace(trackPointPrefix, trackPointExtension)
	track := gpx.GPXTrack{Name: "Workout", Type: string(rec.Sport)}
	pauses := rec.Pauses
	var points []gpx.GPXPoint
	for i, ms := range rec.Samples.TimeMS {
		if len(pauses) > 0 && ms >= pauses[0].EndMS {
			track.Segments = append(track.Segments, gpx.GPXTrackSegment{Points: points})
			points, pauses = nil, pauses[1:]
		}
		points = append(points, gpxPoint(&rec.Samples, i))
	}
	track.Segments = append(track.Segments, gpx.GPXTrackSegment{Points: points})
	doc.AppendTrack(&track)
	return doc.ToXml(gpx.ToXmlParams{Version: "1.1"})
}

// gpxPoint is one sample.
func gpxPoint(s *recording.Samples, i int) gpx.GPXPoint {
	p := gpx.GPXPoint{Timestamp: instant(s.TimeMS[i])}
	p.Latitude, p.Longitude = s.Position.Latitude[i], s.Position.Longitude[i]
	set(s.Altitude, i, p.Elevation.SetValue)
	set(s.HeartRate, i, func(v float64) {
		p.Extensions.GetOrCreateNode(trackPointExtension, "TrackPointExtension", "hr").Data = strconv.Itoa(int(v))
	})
	return p
}
