package pipeline

import (
	"slices"
	"strings"

	"boutwise/pipeline/store"
)

// The bytes of one export in the folders of two clients: one of the two is in
// the wrong place, and which of them only the coach can tell. So both count,
// and both are told. The store keeps the paths of every checksum, which finds
// such pairs without a look at all exports.

// contentKey is the key in [store.Contents] of one export, a member of the
// file in the inbox at path. A folder may take the place and the name of an
// archive, so that the member's own path does not tell the two apart.
func contentKey(sum, path, member string) string { return contentPrefix(sum) + path + "\n" + member }

func contentPrefix(sum string) string { return sum + "/" }

// putExport writes what is known of a file in the inbox. Clients who have an
// export with the bytes of one that comes or goes are marked.
func putExport(tx *store.Tx, path string, rec exportRecord) error {
	if err := dropContents(tx, path); err != nil {
		return err
	}
	for _, m := range rec.Members {
		if !m.shareable() {
			continue
		}
		if err := markSharing(tx, m); err != nil {
			return err
		}
		if err := store.Put(tx, store.Contents, contentKey(m.SHA256, path, m.Path), true); err != nil {
			return err
		}
	}
	return store.Put(tx, store.Exports, path, rec)
}

// deleteExport forgets a file in the inbox.
func deleteExport(tx *store.Tx, path string) error {
	if err := dropContents(tx, path); err != nil {
		return err
	}
	return store.Delete(tx, store.Exports, path)
}

// dropContents takes a file's exports out of the register of contents.
func dropContents(tx *store.Tx, path string) error {
	rec, _, err := store.Get[exportRecord](tx, store.Exports, path)
	if err != nil {
		return err
	}
	for _, m := range rec.Members {
		if !m.shareable() {
			continue
		}
		if err := store.Delete(tx, store.Contents, contentKey(m.SHA256, path, m.Path)); err != nil {
			return err
		}
		if err := markSharing(tx, m); err != nil {
			return err
		}
	}
	return nil
}

// shareable tells an export that may be in the wrong folder. One that holds no
// recording, such as a note that a service puts beside each, does not count.
func (m *memberRecord) shareable() bool {
	return len(m.Legs) > 0 && m.SHA256 != "" && clientOf(m.Path) != ""
}

// markSharing marks the other clients who have an export's bytes.
func markSharing(tx *store.Tx, m memberRecord) error {
	others, err := alsoOf(tx, m)
	for _, client := range others {
		if err := markStale(tx, client); err != nil {
			return err
		}
	}
	return err
}

// alsoOf lists the other clients who have an export's bytes, in order.
func alsoOf(tx *store.Tx, m memberRecord) (clients []string, err error) {
	prefix := contentPrefix(m.SHA256)
	err = store.Each(tx, store.Contents, prefix, func(key string, _ bool) error {
		if c := clientOf(strings.TrimPrefix(key, prefix)); c != clientOf(m.Path) {
			clients = append(clients, c)
		}
		return nil
	})
	slices.Sort(clients)
	return slices.Compact(clients), err
}

// sharedWith lists the other clients who have the bytes of one of a session's
// exports.
func (s *session) sharedWith(also map[string][]string) (clients []string) {
	for _, src := range s.sources {
		clients = append(clients, also[src.member.SHA256]...)
	}
	slices.Sort(clients)
	return slices.Compact(clients)
}
