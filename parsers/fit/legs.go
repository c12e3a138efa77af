package fit

import (
	"sort"

	"github.com/tormoder/fit"

	"boutwise/parsers/recording"
)

// leg is what belongs to one session message of a file.
type leg struct {
	session *fit.SessionMsg // nil in a file without one
	number  int             // of the session message, in the order of the file
	startMS int64
	endMS   int64 // the next leg's start

	records []*fit.RecordMsg
	laps    []*fit.LapMsg
}

// Where the first leg begins and the last ends: everything before and behind
// the sessions' own times belongs to them.
const (
	always = int64(-1) << 62
	never  = int64(1) << 62
)

// splitLegs parts an activity by its sessions' start times. A session without
// a start cannot be placed; when it is the only one it needs no place.
func splitLegs(a *fit.ActivityFile) []leg {
	var legs []leg
	// A session message may stand before or behind its records; its start time
	// is what tells them apart, not its place.
	for i, s := range a.Sessions {
		start, ok := unixMS(s.StartTime)
		if ok || len(a.Sessions) == 1 {
			legs = append(legs, leg{session: s, number: i, startMS: start})
		}
	}
	// Files that were cut short end before their session message.
	if len(legs) == 0 {
		legs = []leg{{}}
	}
	// Stable: of two sessions with one start the file's order decides, so that
	// the same bytes always give the same legs.
	sort.SliceStable(legs, func(i, j int) bool { return legs[i].startMS < legs[j].startMS })
	// Some devices set a session's start too late, so the first leg takes all
	// that comes before, and the last all that comes after.
	legs[0].startMS = always
	for i := range legs {
		legs[i].endMS = never
		if i+1 < len(legs) {
			legs[i].endMS = legs[i+1].startMS
		}
	}
	if len(legs) == 1 {
		legs[0].records, legs[0].laps = a.Records, a.Laps
		return legs
	}
	// Several legs: by time, not by the order in the file, which has sessions and
	// laps before or behind the records.
	for _, r := range a.Records {
		// Among several legs a record without a time belongs to none.
		if ms, ok := unixMS(r.Timestamp); ok {
			l := legAt(legs, ms)
			l.records = append(l.records, r)
		}
	}
	for _, lap := range a.Laps {
		if ms, ok := unixMS(lap.StartTime); ok {
			l := legAt(legs, ms)
			l.laps = append(l.laps, lap)
		}
	}
	return legs
}

// legAt finds the leg that a time falls into.
func legAt(legs []leg, ms int64) *leg {
	// The last leg never ends, so there is always one.
	i := sort.Search(len(legs), func(i int) bool { return legs[i].endMS > ms })
	return &legs[i]
}

// own gives the pauses that begin in the leg.
func (l *leg) own(pauses []recording.Pause) (own []recording.Pause) {
	for _, p := range pauses {
		// By its beginning: a pause that runs into the next leg was the stop that
		// ended this one.
		if p.StartMS >= l.startMS && p.StartMS < l.endMS {
			own = append(own, p)
		}
	}
	return own
}

// pausesOf reads the timer's stops and starts. A stop that no start follows is
// the end of the activity.
func pausesOf(events []*fit.EventMsg) (pauses []recording.Pause) {
	// Devices with automatic pause write a stop and a start at every light.
	stopped, since := false, int64(0)
	for _, e := range events {
		ms, ok := unixMS(e.Timestamp)
		// Other events stop and start, too: courses, alerts, lap buttons.
		if e.Event != fit.EventTimer || !ok {
			continue
		}
		switch e.EventType {
		case fit.EventTypeStop, fit.EventTypeStopAll, fit.EventTypeStopDisable, fit.EventTypeStopDisableAll:
			// Automatic and manual stops may follow each other: the first counts.
			if !stopped {
				stopped, since = true, ms
			}
		case fit.EventTypeStart:
			// A start in the same second was no pause; one before its stop is a clock
			// that was set back.
			if stopped && ms > since {
				pauses = append(pauses, recording.Pause{StartMS: since, EndMS: ms})
			}
			stopped = false
		}
	}
	return pauses
}

// startsAfter gives the first sample at or after each pause's end.
func startsAfter(timeMS []int64, pauses []recording.Pause) (starts []int) {
	i := 0
	for _, p := range pauses {
		// Pauses come in order of time, so the search never goes back.
		for i < len(timeMS) && timeMS[i] < p.EndMS {
			i++
		}
		// Two pauses without a sample between them begin one new stretch.
		if i < len(timeMS) && (len(starts) == 0 || starts[len(starts)-1] < i) {
			starts = append(starts, i)
		}
	}
	return starts
}
