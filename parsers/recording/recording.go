// Package recording defines what one export holds once it is decoded: the
// common form that every format's parser fills and that nothing below
// depends on. It knows nothing of what is measured from it.
//
// All quantities are SI (seconds, metres, metres per second, watts, degrees)
// or the trade's plain units where SI has none (beats and revolutions a
// minute). A value that was not measured is NaN; a channel that the export
// never carries is a nil column.
package recording

import (
	"math"
	"time"
)

// Format names a file format.
type Format string

// The formats that are read.
const (
	FIT Format = "fit"
	GPX Format = "gpx"
	TCX Format = "tcx"
)

// Sport is the kind of movement, as far as the choice of equations needs it.
type Sport string

// The sports that are told apart. Everything else a device can name is Other.
const (
	Cycling    Sport = "cycling"
	Running    Sport = "running"
	Walking    Sport = "walking" // hiking included
	Rowing     Sport = "rowing"
	Swimming   Sport = "swimming"
	Elliptical Sport = "elliptical"
	Transition Sport = "transition" // between two legs of a multi-sport export
	Other      Sport = "other"
)

// Recording is one leg of one export: one sport from its start to its end.
type Recording struct {
	Format Format
	Sport  Sport
	Indoor bool // the device said treadmill, indoor, trainer or the like
	Leg    int  // from 0; more than one only in a multi-sport export

	Device Device

	// UTCOffset is local time less UTC as the device told it, nil when it
	// did not.
	UTCOffset *time.Duration

	Samples Samples
	Laps    []Lap
	Pauses  []Pause

	// RatedExertion is the client's own rating on a 0 to 10 scale, where the
	// device asked for it; nil otherwise.
	RatedExertion *float64

	// Totals is what the device itself wrote in its summary of this leg. It
	// is evidence to check the samples against, never a source of figures.
	Totals Totals

	// Salvage lists what was wrong with the bytes and how it was met. Empty
	// for a sound export.
	Salvage []string

	// Damaged tells that bytes of the export are missing or not as they were
	// written, as in a file that is still being copied. What else Salvage may
	// list, such as a field of a wrong type, no waiting mends.
	Damaged bool
}

// Device is the maker and model that the export names.
type Device struct {
	Name   string // maker and product, human readable; "" when unknown
	Serial string // "" when unknown
}

// Samples holds the measured columns. Every non-nil column has the length of
// TimeMS.
type Samples struct {
	// TimeMS is the instant of each sample in milliseconds since the Unix
	// epoch, in the order of the file: it may repeat or run backwards where
	// the device did.
	TimeMS []int64

	HeartRate   []float64 // beats a minute
	Power       []float64 // W
	Speed       []float64 // m/s
	Distance    []float64 // m since the start
	Altitude    []float64 // m
	Grade       []float64 // percent, rise over run
	Cadence     []float64 // revolutions or strides (of one leg) a minute
	Temperature []float64 // degrees Celsius

	// Position is kept apart so that code which must not spread it does not
	// come across it by accident. Nil when the export has none.
	Position *Position
}

// Len is the number of samples.
func (s *Samples) Len() int { return len(s.TimeMS) }

// Position holds where each sample was taken, in degrees (WGS 84).
type Position struct {
	Latitude, Longitude []float64
}

// Lap is a stretch that the device marked.
type Lap struct {
	StartMS, EndMS int64
	Intensity      string  // "active", "rest", "warmup", "cooldown", "recovery", "interval" or ""
	Trigger        string  // "manual", "time", "distance", "session_end" ... or ""
	MeanPower      float64 // W, as the device wrote it; NaN when absent
	MeanHeartRate  float64 // beats a minute, likewise
}

// Pause is a stretch in which the device's timer was stopped.
type Pause struct {
	StartMS, EndMS int64
}

// Totals is a device's own summary. Absent figures are NaN.
type Totals struct {
	StartMS   int64   // 0 when absent
	ElapsedS  float64 // s, pauses included
	TimerS    float64 // s, pauses excluded
	DistanceM float64 // m
	MeanHR    float64 // beats a minute
	MaxHR     float64
	MeanPower float64 // W
	MaxPower  float64
	MeanSpeed float64 // m/s
	MaxSpeed  float64 // m/s
}

// NoTotals gives totals with every figure absent.
func NoTotals() Totals {
	nan := math.NaN()
	return Totals{
		ElapsedS: nan, TimerS: nan, DistanceM: nan, MeanHR: nan, MaxHR: nan,
		MeanPower: nan, MaxPower: nan, MeanSpeed: nan, MaxSpeed: nan,
	}
}

// DropEmpty sets to nil every column that holds no finite value, and turns a
// lone infinity or the like into NaN: parsers fill every column they know and
// leave the choice to this.
func (s *Samples) DropEmpty() {
	for _, column := range []*[]float64{
		&s.HeartRate, &s.Power, &s.Speed, &s.Distance, &s.Altitude, &s.Grade, &s.Cadence, &s.Temperature,
	} {
		if !finite(*column) {
			*column = nil
		}
	}
	if p := s.Position; p != nil && !(finite(p.Latitude) && finite(p.Longitude)) {
		s.Position = nil
	}
}

// finite turns infinities into NaN and tells whether a finite value is left.
func finite(column []float64) (any bool) {
	for i, v := range column {
		if math.IsInf(v, 0) {
			column[i] = math.NaN()
		} else if v == v {
			any = true
		}
	}
	return any
}
