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

// sessionsOf gives a client's sessions in order of start, their output counts
// left out.
func sessionsOf(tx *store.Tx, client string) (sessions []judged, err error) {
	prefix := sessionKey(client, "")
	err = store.Each(tx, store.Measured, prefix, func(key string, rec sessionRecord) error {
		sessions = append(sessions, judged{id: strings.TrimPrefix(key, prefix), rec: rec})
		return nil
	})
	return sessions, err
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
