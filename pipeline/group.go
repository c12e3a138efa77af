package pipeline

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"boutwise/parsers/recording"
)

// sameWorkoutOverlap is the share of the shorter recording that two must
// share in time to be one workout. Nobody does two workouts at once; a device
// that was started late or stopped early still shares most of its time.
const sameWorkoutOverlap = 0.5

// source is one recording of a client and the export that holds it.
type source struct {
	member *memberRecord
	leg    *legRecord
	// duplicateOf is the path of an export with the same bytes; such a source
	// gives nothing to its session.
	duplicateOf string
	// part counts from 0 the recordings of one workout that follow each other:
	// a device was stopped and started again on the way. Mostly there is one.
	part int
}

// session is one workout and the recordings of it: part by part, in each the
// best first.
type session struct {
	id      string
	sources []source
}

// primary is the recording that gives the session its clock and sport.
func (s *session) primary() source { return s.sources[0] }

// group makes a client's recordings into sessions, in order of their start.
// The best recording of a workout is taken first and gives the session its
// clock; others join it by the time that they share with that one, so that no
// chain of recordings makes two workouts one. The result does not depend on
// the order of the members.
func group(members []memberRecord) []session {
	sources := distinct(members)
	slices.SortFunc(sources, func(a, b source) int {
		return cmp.Or(cmp.Compare(a.leg.StartUnix, b.leg.StartUnix), compareQuality(a, b))
	})
	var sessions []session
	for len(sources) > 0 {
		n := touching(sources)
		sessions = append(sessions, together(sources[:n])...)
		sources = sources[n:]
	}
	sessions = rejoin(sessions)
	name(sessions)
	return sessions
}

// touching counts the sources at the front, in order of their start, that
// follow each other without a time in which none of them ran.
func touching(sources []source) int {
	end := sources[0].leg.end()
	n := 1
	for n < len(sources) && sources[n].leg.StartUnix < end {
		end = max(end, sources[n].leg.end())
		n++
	}
	return n
}

// together makes sessions of sources that touch, in order of their start.
func together(sources []source) []session {
	slices.SortFunc(sources, compareQuality)
	var sessions []session
	for _, src := range sources {
		if i := taker(sessions, src); i >= 0 {
			sessions[i].sources = append(sessions[i].sources, src)
			continue
		}
		sessions = append(sessions, session{sources: []source{src}})
	}
	slices.SortStableFunc(sessions, func(a, b session) int {
		return cmp.Compare(a.primary().leg.StartUnix, b.primary().leg.StartUnix)
	})
	return sessions
}

// distinct lists every recording; of exports with equal bytes all but the
// first by path are marked as its duplicates.
func distinct(members []memberRecord) []source {
	order := make([]*memberRecord, len(members))
	for i := range members {
		order[i] = &members[i]
	}
	slices.SortFunc(order, func(a, b *memberRecord) int { return cmp.Compare(a.Path, b.Path) })
	first := map[string]string{}
	var sources []source
	for _, m := range order {
		if len(m.Legs) == 0 {
			continue
		}
		original, seen := first[m.SHA256]
		if !seen {
			first[m.SHA256] = m.Path
		}
		for i := range m.Legs {
			sources = append(sources, source{member: m, leg: &m.Legs[i], duplicateOf: original})
		}
	}
	return sources
}

// taker is the index of the session that src belongs to, -1 for none: where
// several would take it, the one that it shares most with. A copy of an
// export goes where the original went.
func taker(sessions []session, src source) int {
	best, most := -1, 0.0
	for i := range sessions {
		if src.duplicateOf != "" {
			if slices.ContainsFunc(sessions[i].sources, src.copies) {
				return i
			}
			continue
		}
		share := overlap(sessions[i].primary().leg, src.leg)
		if share >= sameWorkoutOverlap && share > most && sessions[i].takes(src) {
			best, most = i, share
		}
	}
	return best
}

// copies tells whether s is the same recording as original, from another
// export with the same bytes.
func (s source) copies(original source) bool {
	return s.duplicateOf == original.member.Path && s.leg.Leg == original.leg.Leg
}

// takes tells whether nothing but time speaks against src in the session.
// Legs of one export are never the same workout.
func (s *session) takes(src source) bool {
	return !slices.ContainsFunc(s.sources, func(have source) bool {
		return have.member == src.member || !sportsAgree(have.leg.Sport, src.leg.Sport)
	})
}

// overlap is the time that two recordings share, as a share of the shorter.
func overlap(a, b *legRecord) float64 {
	shared := min(a.end(), b.end()) - max(a.StartUnix, b.StartUnix)
	return float64(shared) / float64(max(1, min(a.Seconds, b.Seconds)))
}

func sportsAgree(a, b string) bool {
	unnamed := string(recording.Other)
	return a == b || a == unnamed || b == unnamed
}

// compareQuality puts the recording that knows more first: more time with
// output and heart rate, whole before salvaged, a named sport, the format that
// carries most, more seconds, and at last the path, so that there is always
// one order. Copies come last, after their originals.
func compareQuality(a, b source) int {
	return cmp.Or(
		cmp.Compare(rank(a.duplicateOf != ""), rank(b.duplicateOf != "")),
		cmp.Compare(b.leg.worth(), a.leg.worth()),
		cmp.Compare(rank(a.member.Status == statusSalvaged), rank(b.member.Status == statusSalvaged)),
		cmp.Compare(rank(a.leg.Sport == string(recording.Other)), rank(b.leg.Sport == string(recording.Other))),
		cmp.Compare(formatRank(a.member.Format), formatRank(b.member.Format)),
		cmp.Compare(b.leg.Seconds, a.leg.Seconds),
		cmp.Compare(a.member.Path, b.member.Path),
		cmp.Compare(a.leg.Leg, b.leg.Leg),
	)
}

func rank(later bool) int {
	if later {
		return 1
	}
	return 0
}

// worthStep is how many weighted seconds make a difference in worth. Two
// formats of one recording often differ by a sample or two, which must not
// decide which of them stands for the workout.
const worthStep = 600

// worth adds up the time recorded and the time with what bouts can be measured
// by. Power weighs most, as it is the preferred output. That seconds count
// keeps a short recording with every sensor from standing for a long workout.
func (l *legRecord) worth() int {
	seconds := l.Seconds
	for _, c := range l.Channels {
		switch c.Name {
		case "power":
			seconds += 4 * c.Seconds
		case "speed", "grade":
			seconds += c.Seconds
		case "heart_rate":
			seconds += 2 * c.Seconds
		}
	}
	return seconds / worthStep
}

func formatRank(format string) int {
	return slices.Index([]string{string(recording.FIT), string(recording.TCX), string(recording.GPX)}, format)
}

// restartGap is the longest time, in seconds, between the end of a recording and
// the start of the next for the two to be one workout: a device that was
// stopped by mistake or gave up, or a warm-up that was saved by itself. Common
// practice, no source.
const restartGap = 300

// rejoin makes one session of those, in order of start, that follow each other
// within restartGap in the same sport.
func rejoin(sessions []session) []session {
	joined := sessions[:0]
	for _, s := range sessions {
		if n := len(joined); n > 0 && joined[n-1].goesOnIn(&s) {
			joined[n-1].add(s)
		} else {
			joined = append(joined, s)
		}
	}
	return joined
}

// goesOnIn tells whether next, which starts later, is the same workout gone on
// with.
func (s *session) goesOnIn(next *session) bool {
	a, b := s.primary().leg, next.primary().leg
	pause := next.start().Unix() - s.end()
	return a.Sport == b.Sport && a.Indoor == b.Indoor && pause >= 0 && pause <= restartGap
}

// add puts next behind the session's parts.
func (s *session) add(next session) {
	part := s.sources[len(s.sources)-1].part + 1
	for _, src := range next.sources {
		src.part = part
		s.sources = append(s.sources, src)
	}
}

// end is the second after the last that any of a session's recordings tells.
func (s *session) end() int64 {
	end := s.primary().leg.end()
	for _, src := range s.sources {
		end = max(end, src.leg.end())
	}
	return end
}

// idGrain is what a session's start is rounded to in its name. A better copy
// that arrives a week later, or a second device that was started a minute
// earlier, must not rename the session: its pages and what an analyst noted
// hang on the name. Hardly anybody begins two workouts within ten minutes.
const idGrain = 10 * time.Minute

// sessionIDLayout writes a session's start, so that names sort by time.
const sessionIDLayout = "20060102T1504Z"

// sessionID names a session by its start in UTC, rounded to the nearest grain:
// workouts begin near full quarters, where cutting off would divide them.
func sessionID(started time.Time) string { return started.Round(idGrain).Format(sessionIDLayout) }

// start is the earliest instant that any of a session's recordings tells.
func (s *session) start() time.Time {
	first := s.primary().leg
	for _, src := range s.sources {
		if src.leg.StartUnix < first.StartUnix {
			first = src.leg
		}
	}
	return first.started()
}

// name gives each session its name. It depends on the exports alone, not on
// the order in which they came, so that a practice read afresh has the same
// names. Of several sessions with one name the later get numbers.
func name(sessions []session) {
	taken := map[string]int{}
	for i := range sessions {
		id := sessionID(sessions[i].start())
		taken[id]++
		if n := taken[id]; n > 1 {
			id = fmt.Sprintf("%s-%d", id, n)
		}
		sessions[i].id = id
	}
}
