package pipeline

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"boutwise/pipeline/practice"
	"boutwise/pipeline/store"
)

// What was measured of a session lies in two records: one that every change of
// facts needs, and one that only bands of power or speed need.

func putSession(tx *store.Tx, client, id string, rec sessionRecord) error {
	if rec.Observation.Output == nil {
		panic("pipeline: a session without its counts")
	}
	key := sessionKey(client, id)
	return errors.Join(
		store.Put(tx, store.Measured, key, rec),
		store.Put(tx, store.Counted, key, rec.Observation.Output))
}

func deleteSession(tx *store.Tx, client, id string) error {
	key := sessionKey(client, id)
	return errors.Join(store.Delete(tx, store.Measured, key), store.Delete(tx, store.Counted, key))
}

func deleteSessions(tx *store.Tx, client string) error {
	prefix := sessionKey(client, "")
	return errors.Join(store.DeletePrefix(tx, store.Measured, prefix), store.DeletePrefix(tx, store.Counted, prefix))
}

// uncounted lists the keys of sessions that lack the second record, which the
// program never leaves so: a database may lose one.
func uncounted(tx *store.Tx) (keys []string, err error) {
	counted := map[string]bool{}
	err = errors.Join(
		store.EachKey(tx, store.Counted, "", func(key string) { counted[key] = true }),
		store.EachKey(tx, store.Measured, "", func(key string) {
			if !counted[key] {
				keys = append(keys, key)
			}
		}))
	return keys, err
}

// sessionsOf gives a client's sessions in order of start, their output counts
// left out, and the ids of all on record: one that another version of the
// program wrote may not be readable, and is to be removed all the same when it
// is no more.
func sessionsOf(tx *store.Tx, client string) (sessions []judged, ids []string, err error) {
	prefix := sessionKey(client, "")
	err = store.EachKey(tx, store.Measured, prefix, func(key string) { ids = append(ids, strings.TrimPrefix(key, prefix)) })
	if err != nil {
		return nil, nil, err
	}
	sessions = make([]judged, 0, len(ids))
	err = store.Each(tx, store.Measured, prefix, func(key string, rec sessionRecord) error {
		sessions = append(sessions, judged{id: strings.TrimPrefix(key, prefix), rec: rec})
		return nil
	})
	return sessions, ids, err
}

// countOutput brings in a session's output counts where its facts ask for them.
func (w *work) countOutput(s *judged) error {
	asked := slices.ContainsFunc(s.facts.Bands, func(set practice.BandSet) bool { return set.Signal != practice.BandHeartRate })
	if !asked || s.rec.Observation.Output != nil {
		return nil
	}
	return w.store.View(func(tx *store.Tx) error {
		key := sessionKey(w.client, s.id)
		counts, found, err := store.Get[outputCounts](tx, store.Counted, key)
		if err == nil && !found {
			err = fmt.Errorf("store: %s %q: %w", store.Counted, key, store.ErrDamaged)
		}
		s.rec.Observation.Output = &counts
		return err
	})
}
