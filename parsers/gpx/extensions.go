package gpx

import (
	"math"
	"strings"

	"github.com/tkrajina/gpxgo/gpx"

	"boutwise/parsers/recording"
	"boutwise/parsers/xmlstream"
)

// channel is a quantity that extensions carry.
type channel int

const (
	heartRate channel = iota
	cadence
	power
	speed
	temperature
	nChannels
)

// channels maps local names, in lower case, to what they hold. hr, cad, atemp
// and speed are the names of the track-point extension schema; the others are
// seen in files of other writers (power has no agreed place). Common practice,
// no source.
var channels = map[string]channel{
	"hr": heartRate, "heartrate": heartRate, "heart_rate": heartRate,
	"cad": cadence, "cadence": cadence,
	"power": power, "watts": power, "powerinwatts": power,
	"speed": speed,
	"atemp": temperature, "temp": temperature, "temperature": temperature,
}

// readExtensions reads a point's values as the filter left them, one a channel;
// NaN where it has none.
func readExtensions(nodes []gpx.ExtensionNode) (values [nChannels]float64) {
	for c := range values {
		values[c] = math.NaN()
	}
	for i := range nodes {
		if c, ok := channels[strings.ToLower(nodes[i].XMLName.Local)]; ok {
			values[c] = xmlstream.Number(nodes[i].Data)
		}
	}
	return values
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
