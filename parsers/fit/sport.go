package fit

import (
	"slices"

	"github.com/tormoder/fit"

	"boutwise/parsers/recording"
)

// pursuit is a sport and its kind, as a message names them.
type pursuit struct {
	sport fit.Sport
	kind  fit.SubSport
}

// unnamed is a pursuit that a message leaves open.
var unnamed = pursuit{fit.SportInvalid, fit.SubSportInvalid}

// told tells whether the message names a sport, if not its kind.
func (p pursuit) told() bool { return p.sport != fit.SportInvalid }

// pursuits are the fields that hold a pursuit, sport and kind, in messages that
// the decoder does not keep.
var pursuits = map[uint16][2]byte{msgSport: {0, 1}, msgWorkout: {4, 11}}

// takePursuit keeps what a sport or workout message names, each pursuit once.
func (n *normaliser) takePursuit(p *plan, b []byte) {
	read := func(num byte) byte {
		if s, ok := p.source[num]; ok && s.size == 1 {
			return b[s.at]
		}
		return 0xFF
	}
	fields := pursuits[p.message]
	named := pursuit{fit.Sport(read(fields[0])), fit.SubSport(read(fields[1]))}
	if into := n.out.pursuits; named.told() && !slices.Contains(into[p.message], named) {
		into[p.message] = append(into[p.message], named)
	}
}

// pursuitOf tells what a leg was: its session says so, or, in a file that was
// cut short before that was written, its laps, else the sport that was chosen
// at the start, else the workout that was loaded.
func (f *normalised) pursuitOf(l *leg) pursuit {
	if l.session != nil {
		if p := (pursuit{l.session.Sport, l.session.SubSport}); p.told() {
			return p
		}
	}
	var laps []pursuit
	for _, lap := range l.laps {
		if p := (pursuit{lap.Sport, lap.SubSport}); p.told() {
			laps = append(laps, p)
		}
	}
	for _, named := range [][]pursuit{laps, f.pursuits[msgSport], f.pursuits[msgWorkout]} {
		// Several sports that nothing parts are none of them.
		if slices.ContainsFunc(named, func(p pursuit) bool { return p.sport != named[0].sport }) {
			break
		}
		if len(named) > 0 {
			return named[0]
		}
	}
	return unnamed
}

// sports maps the profile's sports.
var sports = map[fit.Sport]recording.Sport{
	fit.SportCycling: recording.Cycling, fit.SportEBiking: recording.Cycling,
	fit.SportRunning: recording.Running,
	fit.SportWalking: recording.Walking, fit.SportHiking: recording.Walking,
	fit.SportRowing:     recording.Rowing,
	fit.SportSwimming:   recording.Swimming,
	fit.SportTransition: recording.Transition,
}

// indoorKinds are the kinds of a sport that stay in place, each with the sport
// it is when the session itself says no more than "fitness equipment".
var indoorKinds = map[fit.SubSport]recording.Sport{
	fit.SubSportTreadmill: recording.Running, fit.SubSportIndoorRunning: recording.Running,
	fit.SubSportIndoorWalking: recording.Walking,
	fit.SubSportSpin:          recording.Cycling, fit.SubSportIndoorCycling: recording.Cycling,
	fit.SubSportIndoorRowing: recording.Rowing, fit.SubSportElliptical: recording.Elliptical,
	fit.SubSportStairClimbing: recording.Other, fit.SubSportIndoorSkiing: recording.Other,
	fit.SubSportVirtualActivity: recording.Other,
}

// common gives a pursuit in the common form.
func (p pursuit) common() (sport recording.Sport, indoor bool) {
	kind, indoor := indoorKinds[p.kind]
	sport, named := sports[p.sport]
	switch {
	case kind == recording.Elliptical, !named && indoor:
		return kind, true
	case !named:
		return recording.Other, p.sport == fit.SportFitnessEquipment
	}
	return sport, indoor
}
