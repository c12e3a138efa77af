package pipeline

import (
	"cmp"
	"errors"
	"slices"
	"strings"

	"boutwise/pipeline/store"
	"boutwise/pipeline/tables"
)

// fileRows lists a client's exports and what became of each.
func fileRows(client string, members []memberRecord, sessions []session, gave map[string][][]string) []tables.File {
	var rows []tables.File
	for i := range members {
		if len(members[i].Legs) == 0 {
			rows = append(rows, members[i].row(client))
		}
	}
	for i := range sessions {
		rows = append(rows, sessions[i].fileRows(client, gave[sessions[i].id])...)
	}
	sortFiles(rows)
	return rows
}

// fileRows lists the recordings that a session is made of.
func (s *session) fileRows(client string, gave [][]string) []tables.File {
	rows := make([]tables.File, len(s.sources))
	for k, src := range s.sources {
		rows[k] = legRow(src.member.row(client), src.leg, s, k, gave)
	}
	sortFiles(rows)
	return rows
}

func sortFiles(rows []tables.File) {
	slices.SortFunc(rows, func(a, b tables.File) int {
		return cmp.Or(cmp.Compare(a.Path, b.Path), cmp.Compare(a.Leg, b.Leg))
	})
}

// row is what holds of all recordings in an export.
func (m *memberRecord) row(client string) tables.File {
	return tables.File{Path: m.Path, SHA256: m.SHA256, ClientID: client, Format: m.Format, Status: m.Status, Reason: m.Reason}
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
	case len(gave[source]) == 0 && !s.leads(source):
		row.Status, row.Reason = statusDuplicate, "same workout as "+s.leader(source).member.Path
	}
	return row
}

// countExports counts exports by status. One with several recordings is one
// export, and a duplicate only where all of them are.
func countExports(rows []tables.File) map[string]int {
	statuses := map[string]string{} // by path
	for _, f := range rows {
		if have, seen := statuses[f.Path]; !seen || have == statusDuplicate {
			statuses[f.Path] = f.Status
		}
	}
	counts := map[string]int{}
	for _, status := range statuses {
		counts[status]++
	}
	return counts
}

// membersOf lists a client's exports in the order of their paths. Files that
// lie in no client's folder belong to the client "".
func membersOf(tx *store.Tx, client string) (members []memberRecord, err error) {
	if client != "" {
		err = store.Each(tx, store.Exports, client+"/", func(path string, rec exportRecord) error {
			members = append(members, rec.Members...)
			return nil
		})
	} else {
		members, err = unplaced(tx)
	}
	slices.SortFunc(members, func(a, b memberRecord) int { return strings.Compare(a.Path, b.Path) })
	return members, err
}

// unplaced lists what lies in no client's folder, decoding nothing else.
func unplaced(tx *store.Tx) (members []memberRecord, err error) {
	var paths []string
	err = store.EachKey(tx, store.Exports, "", func(path string) {
		if clientOf(path) == "" {
			paths = append(paths, path)
		}
	})
	for _, path := range paths {
		rec, _, getErr := store.Get[exportRecord](tx, store.Exports, path)
		members, err = append(members, rec.Members...), errors.Join(err, getErr)
	}
	return members, err
}
