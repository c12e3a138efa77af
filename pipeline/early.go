package pipeline

import (
	"maps"
	"path/filepath"
	"sync"

	"boutwise/metrics"
	"boutwise/pipeline/durable"
	"boutwise/pipeline/review"
	"boutwise/pipeline/store"
)

// Most workouts come as one export. Such a session is measured and its page
// drawn while its trace is at hand: to read it back later costs as much as to
// find the bouts in it. Should the recording turn out to share its workout
// with another, the fingerprints differ and refreshing does it anew.

// early is a session that was measured as if its recording stood alone.
type early struct {
	id     string
	record sessionRecord
	path   string // of its page
	page   outputRecord
}

func (e *early) put(tx *store.Tx, client string) error {
	if err := putSession(tx, client, e.id, e.record); err != nil {
		return err
	}
	return store.Put(tx, store.Outputs, e.path, e.page)
}

// claims tells which pages were drawn in this run: of two recordings that
// begin in the same second only one is measured early, so that the record
// committed last and the page written last are of the same one.
type claims struct {
	mu    sync.Mutex
	taken map[string]bool
}

func (c *claims) take(path string) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.taken[path] {
		return false
	}
	if c.taken == nil {
		c.taken = map[string]bool{}
	}
	c.taken[path] = true
	return true
}

// paths are the pages that were drawn.
func (c *claims) paths() map[string]bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	drawn := maps.Clone(c.taken)
	if drawn == nil {
		drawn = map[string]bool{}
	}
	return drawn
}

// observeEarly measures and draws the sessions of an export that was read.
func (in *ingester) observeEarly(r *read, m memberRecord, traces []*metrics.Trace) error {
	client := r.client()
	draw := drawer{in.practice, client}
	for i := range m.Legs {
		s := session{sources: []source{{member: &m, leg: &m.Legs[i]}}}
		s.id = sessionID(m.Legs[i].started())
		e := early{id: s.id, path: pagePath(review.SessionPath(client, s.id))}
		if !in.claims.take(e.path) {
			continue
		}
		set := observing(in.practice.Settings)
		e.record = sessionRecord{
			Inputs: s.inputs(set), Observation: Observe(traces[i], s.about(client), set),
			Gave: [][]string{m.Legs[i].channelNames()},
		}
		page, err := draw.page(&s, &e.record, traces[i])
		if err != nil {
			return err
		}
		if err := (durable.Writer{Later: true}).File(filepath.Join(in.practice.Dir, e.path), page); err != nil {
			return err
		}
		e.page = recordOf(page)
		e.page.Inputs = draw.inputs(&s, &e.record)
		r.early = append(r.early, e)
	}
	return nil
}
