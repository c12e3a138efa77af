package pipeline

import (
	"context"
	"errors"
	"path/filepath"
	"strings"
	"sync"

	"golang.org/x/sync/errgroup"

	"boutwise/pipeline/calendar"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/review"
	"boutwise/pipeline/store"
)

// Between two commits so many clients are made anew, or fewer where so many
// sessions were measured anew: their records are held until then.
const (
	clientsPerCommit  = 50
	sessionsPerCommit = 1000
)

// refresher brings the output of every client up to date: the steps from
// Group to Publish.
type refresher struct {
	store    *store.Store
	practice *practice.Practice
	asOf     calendar.Date
	workers  int
	progress Progress

	mu       sync.Mutex
	written  map[string]bool // files of out/ that were written
	pending  []outcome
	measured int // sessions of pending that were measured anew
	done     Refreshed
	stale    []string // exports whose trace is gone and must be read again
}

// Refreshed counts what a refresh did.
type Refreshed struct {
	Clients  int // made anew
	Sessions int // new, measured anew, or judged by other facts than before
	Measured int // traces measured; a workout of several exports may count more than once
	Files    int // files of out/ that were written

	// Came counts by client the sessions that were not there before.
	Came map[string]int
}

// outcome is what one client's refresh leaves to be committed.
type outcome struct {
	client   string
	record   clientRecord
	judged   judgedRecord
	came     int // sessions that were not there before
	rejudged int // sessions that were, and were measured anew or judged by other facts
	puts     map[string]sessionRecord
	deletes  []string
	outputs  map[string]outputRecord
	removed  []string // published files that are no more
}

// refresh brings all given clients up to date and joins the CSV files.
func (r *refresher) refresh(ctx context.Context, clients []string) (review.IndexData, error) {
	if r.done.Came == nil {
		r.done.Came = map[string]int{}
	}
	r.progress.Begin("measuring clients", len(clients))
	defer r.progress.End()
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(r.workers)
	for _, client := range clients {
		group.Go(func() error {
			defer r.progress.Step(1)
			if err := ctx.Err(); err != nil {
				return err
			}
			return r.client(client)
		})
	}
	err := group.Wait()
	// What was made before a failure stays made.
	if flushErr := r.flush(); err == nil {
		err = flushErr
	}
	if err != nil || len(r.stale) > 0 {
		return review.IndexData{}, err
	}
	return r.finishAll(clients)
}

// client makes one client's tables anew, unless nothing that they rest on has
// changed.
func (r *refresher) client(client string) error {
	w := work{
		refresher: r, client: client, want: r.inputs(client), out: r.publisher(),
		outcome: outcome{client: client, puts: map[string]sessionRecord{}},
	}
	current, err := w.load()
	if err != nil || current {
		return err
	}
	err = w.refresh()
	if errors.Is(err, store.ErrNoTrace) {
		return nil // its exports are in r.stale
	}
	if err != nil {
		return err
	}
	return r.finish(w.outcome)
}

// forgetReading marks the exports of a session as to be read again.
func (r *refresher) forgetReading(s *session) {
	r.mu.Lock()
	defer r.mu.Unlock()
	for _, src := range s.sources {
		r.stale = append(r.stale, src.member.Path)
	}
}

// finish queues an outcome and commits when enough have gathered.
func (r *refresher) finish(o outcome) error {
	r.mu.Lock()
	r.pending = append(r.pending, o)
	r.done.Clients++
	r.done.Sessions += o.came + o.rejudged
	r.done.Measured += len(o.puts)
	r.note(o.outputs, o.removed)
	if o.came > 0 {
		r.done.Came[o.client] = o.came
	}
	r.measured += len(o.puts)
	full := len(r.pending) >= clientsPerCommit || r.measured >= sessionsPerCommit
	r.mu.Unlock()
	if full {
		return r.flush()
	}
	return nil
}

// note keeps account of published files; the pieces of the CSV files are none.
func (r *refresher) note(written map[string]outputRecord, removed []string) {
	for path := range written {
		if strings.HasPrefix(path, "out"+string(filepath.Separator)) {
			r.written[path] = true
		}
	}
	for _, path := range removed {
		delete(r.written, path)
	}
}

// flush commits the outcomes so far. A client whose files were written but
// whose outcome was not committed is made anew by the next run.
func (r *refresher) flush() error {
	r.mu.Lock()
	defer r.mu.Unlock()
	if len(r.pending) == 0 {
		return nil
	}
	err := r.store.Update(func(tx *store.Tx) error {
		for _, o := range r.pending {
			if err := o.commit(tx); err != nil {
				return err
			}
		}
		return nil
	})
	r.pending, r.measured = nil, 0
	return err
}

func (o outcome) commit(tx *store.Tx) error {
	for id, rec := range o.puts {
		if err := putSession(tx, o.client, id, rec); err != nil {
			return err
		}
	}
	for _, id := range o.deletes {
		if err := deleteSession(tx, o.client, id); err != nil {
			return err
		}
	}
	for _, path := range o.removed {
		if err := store.Delete(tx, store.Outputs, path); err != nil {
			return err
		}
	}
	if err := putOutputs(tx, o.outputs); err != nil {
		return err
	}
	if err := store.Put(tx, store.Clients, judgedKey(o.client), o.judged); err != nil {
		return err
	}
	return store.Put(tx, store.Clients, clientKey(o.client), o.record)
}

func putOutputs(tx *store.Tx, outputs map[string]outputRecord) error {
	for path, rec := range outputs {
		if err := store.Put(tx, store.Outputs, path, rec); err != nil {
			return err
		}
	}
	return nil
}

// finishAll makes what rests on all clients together: the CSV files and the
// morning page.
func (r *refresher) finishAll(clients []string) (review.IndexData, error) {
	joined := r.publisher()
	if err := errors.Join(r.withdrawSamples(), joined.joinCSV(clients)); err != nil {
		return review.IndexData{}, err
	}
	if err := r.commitOutputs(joined); err != nil {
		return review.IndexData{}, err
	}
	return r.drawIndex(clients)
}

// commitOutputs notes what published files now are.
func (r *refresher) commitOutputs(out *publisher) error {
	if len(out.puts) == 0 {
		return nil
	}
	r.note(out.puts, nil)
	return r.store.Update(func(tx *store.Tx) error { return putOutputs(tx, out.puts) })
}
