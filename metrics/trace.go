package metrics

import (
	"math"
	"slices"
)

// MaxBridge is the longest gap, in seconds, that a straight line closes.
// Devices that record only on change leave gaps of a few seconds in every
// session; anything longer is a pause.
const MaxBridge = 10

// Channels holds one column a measured quantity. A nil column was never
// measured; within a column NaN is missing.
type Channels struct {
	HeartRate   []float64 // beats a minute
	Power       []float64 // W
	Speed       []float64 // m/s
	Distance    []float64 // m since the start
	Altitude    []float64 // m
	Grade       []float64 // percent, rise over run
	Cadence     []float64 // revolutions, or strides of one leg, a minute
	Temperature []float64 // degrees Celsius
	Latitude    []float64 // degrees, WGS 84; nil unless position is kept
	Longitude   []float64 // degrees, WGS 84; nil unless position is kept
}

// Columns holds samples as a device wrote them: irregular in time, perhaps
// repeated or out of order. Every non-nil column has the length of TimeMS.
type Columns struct {
	TimeMS []int64 // milliseconds since the Unix epoch
	Channels
}

// Trace is one session on a 1 Hz grid. Second i stands for the instant
// StartUnix + i. Every non-nil column has length N.
//
// The columns hold whole multiples of a channel's step (see [ChannelSpec]),
// so that a stored trace reads back to the last bit and equal values can be
// counted.
type Trace struct {
	StartUnix int64 // seconds since the Unix epoch
	N         int   // seconds, first sample to last, both included
	Channels

	// Recorded tells the seconds in which the device was recording: those
	// that hold a sample or lie between two samples at most [MaxBridge] apart.
	Recorded []bool

	// Observed tells the seconds that hold a sample of their own; the other
	// recorded seconds are bridged. A boundary finder needs it to undo the
	// straight lines of recordings that were written only on change.
	Observed []bool
}

// RecordedSeconds counts the seconds with data: the device was recording, and
// at least one channel has a value.
func (t *Trace) RecordedSeconds() int {
	var columns [][]float64
	for _, spec := range ChannelSpecs {
		if col := *spec.Column(&t.Channels); col != nil {
			columns = append(columns, col)
		}
	}
	n := 0
	for i, on := range t.Recorded {
		if on && slices.ContainsFunc(columns, func(col []float64) bool { return !math.IsNaN(col[i]) }) {
			n++
		}
	}
	return n
}

// ChannelSpec says how one channel is named, stored and cleaned.
type ChannelSpec struct {
	Name string
	Unit string
	// PerUnit is the number of steps a unit is divided into: stored values
	// are whole numbers of 1/PerUnit.
	PerUnit float64
	// Low and High bound what the quantity can be in a person at exercise;
	// beyond them a value is impossible and becomes missing.
	Low, High float64
	// Spike is the jump, there and back within [maxSpikeS] seconds, that no
	// body or machine makes; 0 where jumps are natural.
	Spike float64
	// Column finds the channel's column.
	Column func(*Channels) *[]float64
}

// ChannelSpecs lists every channel in the order of the tables.
//
// The bounds of heart rate, power, cadence and grade follow the published
// extremes: maximal rates of 196 ± 10 (Loe et al. 2013), sprint power of
// 1600 ± 116 W at 155 rpm (Dorel et al. 2005), treadmill grades to 45 %
// (Minetti et al. 2002). The others are common practice, no source.
var ChannelSpecs = []ChannelSpec{
	{"heart_rate", "bpm", 1, 30, 230, 25, func(c *Channels) *[]float64 { return &c.HeartRate }},
	{"power", "W", 1, 0, 2500, 900, func(c *Channels) *[]float64 { return &c.Power }},
	{"speed", "m/s", 1000, 0, maxSpeed, 6, func(c *Channels) *[]float64 { return &c.Speed }},
	{"distance", "m", 10, 0, 2e6, 0, func(c *Channels) *[]float64 { return &c.Distance }},
	{"altitude", "m", 10, -450, 9000, 60, func(c *Channels) *[]float64 { return &c.Altitude }},
	{"grade", "%", 100, -45, 45, 0, func(c *Channels) *[]float64 { return &c.Grade }},
	{"cadence", "1/min", 2, 0, 220, 0, func(c *Channels) *[]float64 { return &c.Cadence }},
	{"temperature", "°C", 1, -50, 70, 0, func(c *Channels) *[]float64 { return &c.Temperature }},
	{"latitude", "°", 1e7, -90, 90, 0, func(c *Channels) *[]float64 { return &c.Latitude }},
	{"longitude", "°", 1e7, -180, 180, 0, func(c *Channels) *[]float64 { return &c.Longitude }},
}

// maxSpeed is the fastest that is believed of anybody, m/s; common practice,
// no source.
const maxSpeed = 40

// maxFootSpeed is the fastest that a person on foot is believed, m/s: the
// sprint record is near 12.3 (from memory).
const maxFootSpeed = 12.5

// Repairs counts what cleaning took away or filled in. Counts are of samples
// unless they say seconds.
type Repairs struct {
	Backward  int // dropped: earlier than a sample before them
	Duplicate int // folded into another sample of the same second
	Stray     int // dropped: days away from the rest, a clock that was not yet set
	BridgedS  int // seconds filled by a straight line
	PausedS   int // seconds between first and last sample without a recording

	// Channel holds the counts a channel, by name, of every channel that had a
	// sample: what was taken from one is a share of what it had.
	Channel map[string]ChannelRepairs
}

// Plus adds up the repairs of two recordings.
func (r Repairs) Plus(o Repairs) Repairs {
	sum := Repairs{
		Backward: r.Backward + o.Backward, Duplicate: r.Duplicate + o.Duplicate, Stray: r.Stray + o.Stray,
		BridgedS: r.BridgedS + o.BridgedS, PausedS: r.PausedS + o.PausedS, Channel: map[string]ChannelRepairs{},
	}
	for _, channels := range []map[string]ChannelRepairs{r.Channel, o.Channel} {
		for name, c := range channels {
			have := sum.Channel[name]
			sum.Channel[name] = ChannelRepairs{
				Seen: have.Seen + c.Seen, Impossible: have.Impossible + c.Impossible,
				Spike: have.Spike + c.Spike, Frozen: have.Frozen + c.Frozen,
			}
		}
	}
	return sum
}

// ChannelRepairs counts the samples of one channel, and those that became
// missing.
type ChannelRepairs struct {
	Seen       int // with a value, before any was taken away
	Impossible int // outside the channel's bounds
	Spike      int // a jump there and back
	Frozen     int // a sensor that stopped answering and kept its last value
}

// Total is the number of samples taken away.
func (r ChannelRepairs) Total() int { return r.Impossible + r.Spike + r.Frozen }

func countTrue(mask []bool) int {
	n := 0
	for _, m := range mask {
		if m {
			n++
		}
	}
	return n
}
