package pipeline

import (
	"cmp"
	"slices"
	"strings"

	"boutwise/pipeline/tables"
)

// fileRows lists a client's exports and what became of each.
func fileRows(client string, members []memberRecord, sessions []session, gave map[string][][]string) []tables.File {
	type place struct {
		session *session
		source  int
	}
	places := map[*legRecord]place{}
	for i := range sessions {
		for k, src := range sessions[i].sources {
			places[src.leg] = place{&sessions[i], k}
		}
	}
	var rows []tables.File
	for i := range members {
		m := &members[i]
		row := tables.File{Path: m.Path, SHA256: m.SHA256, ClientID: client, Format: m.Format, Status: m.Status, Reason: m.Reason}
		for k := range m.Legs {
			at := places[&m.Legs[k]]
			rows = append(rows, legRow(row, &m.Legs[k], at.session, at.source, gave[at.session.id]))
		}
		if len(m.Legs) == 0 {
			rows = append(rows, row)
		}
	}
	slices.SortFunc(rows, func(a, b tables.File) int {
		return cmp.Or(cmp.Compare(a.Path, b.Path), cmp.Compare(a.Leg, b.Leg))
	})
	return rows
}

// legRow is the row of one recording. One that gives nothing to its session,
// because another export of the workout has all that it has, is a duplicate.
func legRow(row tables.File, leg *legRecord, s *session, source int, gave [][]string) tables.File {
	started, samples := leg.started(), int64(leg.Samples)
	row.Leg, row.Device, row.SessionID = int32(leg.Leg), leg.Device, s.id
	row.StartedUTC, row.Samples = &started, &samples
	row.Channels = strings.Join(gave[source], " ")
	switch original := s.sources[source].duplicateOf; {
	case original != "":
		row.Status, row.Reason = statusDuplicate, "same bytes as "+original
	case len(gave[source]) == 0 && source > 0:
		row.Status, row.Reason = statusDuplicate, "same workout as "+s.primary().member.Path
	}
	return row
}
