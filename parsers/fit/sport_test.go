package fit

import (
	"errors"
	"testing"

	"boutwise/parsers/internal/parsertest"
	"boutwise/parsers/recording"
)

// Sports and kinds of the profile.
const (
	running, cycling, swimming, unknown = uint8(1), uint8(2), uint8(5), uint8(0xFF)
	treadmill, indoorCycling            = uint8(1), uint8(6)
)

// named writes a message that names a sport, and nothing else.
func (b *builder) named(message uint16, sport, kind uint8) *builder {
	fields := []fieldDef{{0, 1, tEnum}, {1, 1, tEnum}}
	switch message {
	case msgWorkout:
		fields = []fieldDef{{4, 1, tEnum}, {11, 1, tEnum}}
	case msgLap:
		return b.define(2, message, []fieldDef{{2, 4, tUint32}, {25, 1, tEnum}, {39, 1, tEnum}}).message(2, t0, sport, kind)
	case msgSession:
		return b.define(2, message, []fieldDef{{2, 4, tUint32}, {5, 1, tEnum}, {6, 1, tEnum}}).message(2, t0, sport, kind)
	}
	return b.define(2, message, fields).message(2, sport, kind)
}

// TestSportWithoutSession: a file that was cut short tells what it was by what
// stands in its place, the closest first.
func TestSportWithoutSession(t *testing.T) {
	type line struct {
		message     uint16
		sport, kind uint8
	}
	for _, c := range []struct {
		name   string
		lines  []line
		sport  recording.Sport
		indoor bool
	}{
		{"nothing", nil, recording.Other, false},
		{"lap", []line{{msgLap, running, treadmill}}, recording.Running, true},
		{"sport", []line{{msgSport, cycling, indoorCycling}}, recording.Cycling, true},
		{"workout", []line{{msgWorkout, running, unknown}}, recording.Running, false},
		{"lap before sport", []line{{msgSport, running, treadmill}, {msgLap, cycling, unknown}}, recording.Cycling, false},
		{"sport before workout", []line{{msgWorkout, running, unknown}, {msgSport, cycling, unknown}}, recording.Cycling, false},
		{"lap that names none", []line{{msgWorkout, running, treadmill}, {msgLap, unknown, unknown}}, recording.Running, true},
		{"session before all", []line{{msgSport, running, unknown}, {msgLap, running, unknown}, {msgSession, cycling, unknown}}, recording.Cycling, false},
		{"session that names none", []line{{msgLap, running, unknown}, {msgSession, unknown, unknown}}, recording.Running, false},
		{"two sports", []line{{msgWorkout, running, unknown}, {msgSport, swimming, unknown}, {msgSport, cycling, unknown}}, recording.Other, false},
		{"two laps of one", []line{{msgLap, running, treadmill}, {msgLap, running, treadmill}}, recording.Running, true},
	} {
		b := activity()
		for _, l := range c.lines {
			b.named(l.message, l.sport, l.kind)
		}
		b.define(1, msgRecord, []fieldDef{{253, 4, tUint32}, {3, 1, tUint8}}).message(1, t0, uint8(100)).message(1, t0+1, uint8(101))
		rec := parseOne(t, b.file())
		if rec.Sport != c.sport || rec.Indoor != c.indoor {
			t.Errorf("%s: %s, indoor %v; want %s, %v", c.name, rec.Sport, rec.Indoor, c.sport, c.indoor)
		}
	}
}

// TestSportOfCutRide cuts a real ride before its session.
func TestSportOfCutRide(t *testing.T) {
	data := trainer(t)
	whole := parseOne(t, data)
	cut := parseOne(t, data[:len(data)/2])
	parsertest.Same(t, "sport", cut.Sport, whole.Sport)
	parsertest.Same(t, "whole", whole.Sport, recording.Cycling)
}

// TestNothingInDamaged: a file that broke off before its first record may have
// had some; a whole one has none.
func TestNothingInDamaged(t *testing.T) {
	whole := activity().named(msgSport, cycling, unknown).file()
	if _, err := Parse(whole, recording.Limits{}); !errors.Is(err, recording.ErrNoSamples) {
		t.Errorf("whole: %v", err)
	}
	if _, err := Parse(whole[:len(whole)-4], recording.Limits{}); !errors.Is(err, recording.ErrDamaged) {
		t.Errorf("cut: %v", err)
	}
}
