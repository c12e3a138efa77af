package demo

import (
	"bytes"
	"encoding/xml"
	"math"

	"boutwise/parsers/recording"
)

// The namespaces of a TCX file and of the extension that holds speed and
// power.
const (
	tcxNamespace  = "http://www.garmin.com/xmlschemas/TrainingCenterDatabase/v2"
	tpxNamespace  = "http://www.garmin.com/xmlschemas/ActivityExtension/v2"
	tcxTimeLayout = "2006-01-02T15:04:05.000Z"
)

// The elements of a TCX activity, in the order in which its schema wants them.
type (
	tcxFile struct {
		XMLName    xml.Name      `xml:"TrainingCenterDatabase"`
		Namespace  string        `xml:"xmlns,attr"`
		Extension  string        `xml:"xmlns:ns3,attr"`
		Instance   string        `xml:"xmlns:xsi,attr"`
		Activities []tcxActivity `xml:"Activities>Activity"`
	}
	tcxActivity struct {
		Sport   string     `xml:"Sport,attr"`
		ID      string     `xml:"Id"`
		Laps    []tcxLap   `xml:"Lap"`
		Creator tcxCreator `xml:"Creator"`
	}
	tcxLap struct {
		StartTime  string     `xml:"StartTime,attr"`
		Seconds    float64    `xml:"TotalTimeSeconds"`
		Distance   float64    `xml:"DistanceMeters"`
		Calories   int        `xml:"Calories"`
		AverageHR  *tcxHeart  `xml:"AverageHeartRateBpm"`
		MaximumHR  *tcxHeart  `xml:"MaximumHeartRateBpm"`
		Intensity  string     `xml:"Intensity"`
		TriggeredM string     `xml:"TriggerMethod"`
		Tracks     []tcxTrack `xml:"Track"`
	}
	tcxHeart struct {
		Value int `xml:"Value"`
	}
	tcxTrack struct {
		Points []tcxPoint `xml:"Trackpoint"`
	}
	tcxPoint struct {
		Time     string       `xml:"Time"`
		Position *tcxPosition `xml:"Position"`
		Altitude *float64     `xml:"AltitudeMeters"`
		Distance *float64     `xml:"DistanceMeters"`
		Heart    *tcxHeart    `xml:"HeartRateBpm"`
		Cadence  *int         `xml:"Cadence"`
		TPX      *tcxTPX      `xml:"Extensions>ns3:TPX"`
	}
	tcxPosition struct {
		Latitude  float64 `xml:"LatitudeDegrees"`
		Longitude float64 `xml:"LongitudeDegrees"`
	}
	tcxTPX struct {
		Speed *float64 `xml:"ns3:Speed"`
		Watts *int     `xml:"ns3:Watts"`
	}
	tcxCreator struct {
		Type    string     `xml:"xsi:type,attr"`
		Name    string     `xml:"Name"`
		UnitID  uint32     `xml:"UnitId"`
		Product uint16     `xml:"ProductID"`
		Version tcxVersion `xml:"Version"`
	}
	tcxVersion struct {
		Major int `xml:"VersionMajor"`
		Minor int `xml:"VersionMinor"`
		Build int `xml:"BuildMajor"`
		Patch int `xml:"BuildMinor"`
	}
)

// tcxSports are the format's only words for sports; the rest is "Other".
var tcxSports = map[recording.Sport]string{recording.Cycling: "Biking", recording.Running: "Running"}

// encodeTCX writes a recording as a TCX v2 activity of one lap; a pause begins
// a new track within it.
func encodeTCX(rec *recording.Recording, product uint16, serial uint32) ([]byte, error) {
	sport, ok := tcxSports[rec.Sport]
	if !ok {
		sport = "Other"
	}
	id := instant(rec.Samples.TimeMS[0]).Format(tcxTimeLayout)
	doc := tcxFile{
		Namespace: tcxNamespace, Extension: tpxNamespace, Instance: "http://www.w3.org/2001/XMLSchema-instance",
		Activities: []tcxActivity{{
			Sport: sport, ID: id, Laps: []tcxLap{tcxWhole(rec, id)},
			Creator: tcxCreator{
				Type: "Device_t", Name: rec.Device.Name, UnitID: serial, Product: product,
				Version: tcxVersion{Major: 1, Minor: 4},
			},
		}},
	}
	var out bytes.Buffer
	out.WriteString(xml.Header)
	if err := xml.NewEncoder(&out).Encode(doc); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

// tcxWhole is the lap that spans the recording. The schema asks for calories;
// the device has none to give.
func tcxWhole(rec *recording.Recording, start string) tcxLap {
	l := tcxLap{StartTime: start, Seconds: rec.Totals.TimerS, Intensity: "Active", TriggeredM: "Manual"}
	if !math.IsNaN(rec.Totals.DistanceM) {
		l.Distance = rec.Totals.DistanceM
	}
	l.AverageHR = &tcxHeart{int(math.Round(rec.Totals.MeanHR))}
	l.MaximumHR = &tcxHeart{int(rec.Totals.MaxHR)}
	pauses := rec.Pauses
	var points []tcxPoint
	for i, ms := range rec.Samples.TimeMS {
		if len(pauses) > 0 && ms >= pauses[0].EndMS {
			l.Tracks = append(l.Tracks, tcxTrack{points})
			points, pauses = nil, pauses[1:]
		}
		points = append(points, tcxSample(&rec.Samples, i))
	}
	l.Tracks = append(l.Tracks, tcxTrack{points})
	return l
}

// tcxSample is one track point.
func tcxSample(s *recording.Samples, i int) tcxPoint {
	p := tcxPoint{Time: instant(s.TimeMS[i]).Format(tcxTimeLayout)}
	if s.Position != nil {
		p.Position = &tcxPosition{s.Position.Latitude[i], s.Position.Longitude[i]}
	}
	set(s.Altitude, i, func(v float64) { p.Altitude = &v })
	set(s.Distance, i, func(v float64) { p.Distance = &v })
	set(s.HeartRate, i, func(v float64) { p.Heart = &tcxHeart{int(v)} })
	set(s.Cadence, i, func(v float64) { p.Cadence = ptr(int(v)) })
	var x tcxTPX
	set(s.Speed, i, func(v float64) { x.Speed = &v })
	set(s.Power, i, func(v float64) { x.Watts = ptr(int(v)) })
	if x != (tcxTPX{}) {
		p.TPX = &x
	}
	return p
}

// ptr is a pointer to a copy of v.
func ptr[T any](v T) *T { return &v }
