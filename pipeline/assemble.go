package pipeline

import (
	"slices"
	"time"

	"boutwise/metrics"
	"boutwise/parsers/recording"
	"boutwise/pipeline/store"
)

// about gathers what the exports say of a session.
func (s *session) about(client string) About {
	first := s.primary().leg
	about := About{
		ClientID: client, SessionID: s.id,
		Sport: recording.Sport(first.Sport), Indoor: first.Indoor,
	}
	for i, src := range s.sources {
		if s.leads(i) {
			about.Laps = append(about.Laps, src.leg.Laps...)
			about.Repairs = about.Repairs.Plus(src.leg.Repairs)
			if i > 0 {
				before := s.sources[i-1].leg
				about.Pauses = append(about.Pauses, pauseRecord{Start: float64(before.end() - 1), End: float64(src.leg.StartUnix)})
			}
		}
		if about.Sport == recording.Other {
			about.Sport = recording.Sport(src.leg.Sport)
		}
		about.Pauses = append(about.Pauses, src.leg.Pauses...)
		if about.UTCOffsetS == nil && plausibleOffset(src.leg.UTCOffsetS) {
			about.UTCOffsetS = src.leg.UTCOffsetS
		}
		if about.RatedExertion == nil {
			about.RatedExertion = src.leg.RatedExertion
		}
	}
	return about
}

// plausibleOffset tells a local-time offset from a device whose local clock
// was never set: real ones are whole quarters of an hour within 14 hours.
func plausibleOffset(seconds *int) bool {
	const quarter = 15 * 60
	return seconds != nil && *seconds%quarter == 0 && *seconds >= -12*3600 && *seconds <= 14*3600
}

// leads tells whether a source is the best of its part.
func (s *session) leads(i int) bool { return i == 0 || s.sources[i].part != s.sources[i-1].part }

// leader is the best source of the part that source i belongs to.
func (s *session) leader(i int) source {
	for !s.leads(i) {
		i--
	}
	return s.sources[i]
}

// trace reads a session's traces: those of each part are merged, best first,
// and the parts put one behind the other. gave names the channels that each
// source gave.
func (s *session) trace(st *store.Store, client string) (tr *metrics.Trace, gave [][]string, err error) {
	gave = make([][]string, len(s.sources))
	for i := 0; i < len(s.sources); {
		n := 1
		for i+n < len(s.sources) && !s.leads(i+n) {
			n++
		}
		part, err := mergedPart(st, client, s.sources[i:i+n], gave[i:i+n])
		if err != nil {
			return nil, nil, err
		}
		if i > 0 {
			whole := metrics.AppendTrace(tr, part)
			part = &whole
		}
		tr, i = part, i+n
	}
	return tr, gave, nil
}

// mergedPart reads and merges the traces of one part, and fills gave.
func mergedPart(st *store.Store, client string, sources []source, gave [][]string) (tr *metrics.Trace, err error) {
	for i, src := range sources {
		if src.duplicateOf != "" {
			continue
		}
		next, err := st.ReadTrace(client, src.leg.TraceKey, src.leg.TraceSum)
		if err != nil {
			return nil, err
		}
		if tr == nil {
			tr, gave[i] = next, src.leg.channelNames()
			continue
		}
		merged, kept, given := metrics.MergeTraces(tr, next, metrics.ClockLag(tr, next))
		tr, gave[i] = &merged, given
		for k := range gave[:i] {
			gave[k] = slices.DeleteFunc(gave[k], func(name string) bool { return !slices.Contains(kept, name) })
		}
	}
	return tr, nil
}

func (l *legRecord) channelNames() []string {
	names := make([]string, len(l.Channels))
	for i, c := range l.Channels {
		names[i] = c.Name
	}
	return names
}

// started is the instant of a recording's first sample.
func (l *legRecord) started() time.Time { return time.Unix(l.StartUnix, 0).UTC() }
