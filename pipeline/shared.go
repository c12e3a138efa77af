package pipeline

import (
	"cmp"
	"iter"
	"slices"
)

// sharedExport is an export of one client whose bytes lie in another client's
// folder, too. One of the two is in the wrong place; which of them, only the
// coach can tell, so both count and both are told.
type sharedExport struct {
	Path   string   // of the client's own
	Others []string // of the same bytes in other clients' folders
}

// sharedExports finds, among the exports of all clients, those that more than
// one client has, by client and in the order of their paths. Exports that hold
// no recording, such as notes that a service puts beside each, do not count.
func sharedExports(all iter.Seq[memberRecord]) map[string][]sharedExport {
	places := map[string][]string{} // by checksum
	for m := range all {
		if len(m.Legs) > 0 && m.SHA256 != "" && clientOf(m.Path) != "" {
			places[m.SHA256] = append(places[m.SHA256], m.Path)
		}
	}
	shared := map[string][]sharedExport{}
	for _, paths := range places {
		for _, path := range paths {
			client := clientOf(path)
			others := slices.Sorted(elsewhere(paths, client))
			if len(others) > 0 {
				shared[client] = append(shared[client], sharedExport{Path: path, Others: others})
			}
		}
	}
	for _, list := range shared {
		slices.SortFunc(list, func(a, b sharedExport) int { return cmp.Compare(a.Path, b.Path) })
	}
	return shared
}

// elsewhere yields the paths that are not in a client's folder.
func elsewhere(paths []string, client string) iter.Seq[string] {
	return func(yield func(string) bool) {
		for _, p := range paths {
			if clientOf(p) != client && !yield(p) {
				return
			}
		}
	}
}
