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
		Laps: first.Laps, Repairs: first.Repairs,
	}
	for _, src := range s.sources {
		if about.Sport == recording.Other {
			about.Sport = recording.Sport(src.leg.Sport)
		}
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

// trace reads a session's traces and merges them, best first. gave names the
// channels that each source gave.
func (s *session) trace(st *store.Store, client string) (tr *metrics.Trace, gave [][]string, err error) {
	gave = make([][]string, len(s.sources))
	for i, src := range s.sources {
		if src.duplicateOf != "" {
			continue
		}
		next, err := st.ReadTrace(client, src.leg.TraceKey, src.leg.TraceSum)
		if err != nil {
			return nil, nil, err
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
	return tr, gave, nil
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
