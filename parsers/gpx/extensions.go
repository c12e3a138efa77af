package gpx

import (
	"math"
	"strings"

	"github.com/tkrajina/gpxgo/gpx"

	"boutwise/parsers/recording"
	"boutwise/parsers/xmlstream"
)

// extensions is what one track point carries beside time and position; NaN
// where it does not.
type extensions struct {
	heartRate, power, speed, cadence, temperature float64
}

// readExtensions reads the known values from a point's extension elements, at
// any depth. The first number found for a channel stands.
func readExtensions(nodes []gpx.ExtensionNode) extensions {
	nan := math.NaN()
	ext := extensions{nan, nan, nan, nan, nan}
	ext.read(nodes)
	return ext
}

// read walks one level and what lies under it.
func (e *extensions) read(nodes []gpx.ExtensionNode) {
	for i := range nodes {
		node := &nodes[i]
		if channel := e.channel(node.XMLName.Local); channel != nil && math.IsNaN(*channel) {
			*channel = xmlstream.Number(node.Data)
		}
		e.read(node.Nodes)
	}
}

// channel maps a local name to its channel. hr, cad, atemp and speed are the
// names of the track-point extension schema; the others are seen in files of
// other writers (power has no agreed place). Common practice, no source.
func (e *extensions) channel(local string) *float64 {
	switch strings.ToLower(local) {
	case "hr", "heartrate", "heart_rate":
		return &e.heartRate
	case "cad", "cadence":
		return &e.cadence
	case "power", "watts", "powerinwatts":
		return &e.power
	case "speed":
		return &e.speed
	case "atemp", "temp", "temperature":
		return &e.temperature
	}
	return nil
}

// sportCodes are numbers that some services write for a track's type, each
// from its own list. Common practice, no source.
var sportCodes = map[string]recording.Sport{
	"1": recording.Cycling, "4": recording.Walking, "9": recording.Running,
	"10": recording.Walking, "16": recording.Swimming, "23": recording.Rowing,
}

// sport reads a track's type, which GPX leaves to the writer: words or a code.
func sport(text string) (sport recording.Sport, indoor bool) {
	if sport, ok := sportCodes[strings.TrimSpace(text)]; ok {
		return sport, false
	}
	return recording.SportFromText(text)
}
