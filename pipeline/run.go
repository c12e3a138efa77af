package pipeline

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"time"

	"boutwise/parsers"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/review"
	"boutwise/pipeline/store"
	"boutwise/pipeline/tables"
)

// Options says what to run. Dir is needed; the rest has defaults.
type Options struct {
	Dir      string
	AsOf     calendar.Date // the day of the review; 0 for today in the practice's zone
	Now      time.Time     // the clock; zero for the real one
	Workers  int           // 0 for one a core
	Progress Progress      // nil for silence
}

func (o Options) withDefaults(p *practice.Practice) Options {
	if o.Now.IsZero() {
		o.Now = time.Now()
	}
	if o.AsOf == 0 {
		o.AsOf = calendar.DateOf(o.Now.In(p.Settings.Location))
	}
	if o.Workers == 0 {
		o.Workers = runtime.GOMAXPROCS(0)
	}
	if o.Progress == nil {
		o.Progress = Silent{}
	}
	return o
}

// Summary tells what a run did and where the practice stands after it.
type Summary struct {
	AsOf      calendar.Date
	InInbox   int // files in the inbox
	Opened    int // of them new or changed, and so opened
	Vanished  int // known exports that are no longer in the inbox
	Refreshed Refreshed

	// Exports counts the exports of all clients by status, whichever run read
	// them.
	Exports map[string]int

	// Clients is where every client stands, in order of id: what the morning
	// page is made of.
	Clients []review.Summary

	// Unplaced are exports that lie outside any client's folder, and so are
	// refused.
	Unplaced []tables.File
}

// Run does the nightly job. A wrong configuration is a [practice.Problems]
// and leaves everything untouched.
func Run(ctx context.Context, o Options) (Summary, error) {
	return run(ctx, o, true)
}

// Reprocess brings the output up to date with the configuration without
// opening any export.
func Reprocess(ctx context.Context, o Options) (Summary, error) {
	return run(ctx, o, false)
}

func run(ctx context.Context, o Options, ingest bool) (sum Summary, err error) {
	p, err := practice.Load(o.Dir)
	if err != nil {
		return sum, err
	}
	o = o.withDefaults(p)
	st, err := store.Open(filepath.Join(o.Dir, "store"))
	if err != nil {
		return sum, err
	}
	defer func() {
		if closeErr := st.Close(); err == nil {
			err = closeErr
		}
	}()
	cut, err := begin(st, o.Dir)
	if err = errors.Join(err, sweep(o.Dir)); err != nil {
		return sum, err
	}
	sum.AsOf = o.AsOf
	in := &ingester{
		store: st, practice: p, inbox: filepath.Join(o.Dir, "inbox"), limits: p.Settings.Limits,
		keepPosition: p.Settings.KeepPosition, now: o.Now, workers: o.Workers, progress: o.Progress,
	}
	if ingest {
		if err := in.update(ctx, &sum); err != nil {
			return sum, err
		}
	}
	drawn, err := refreshAll(ctx, in, p, o, ingest, &sum)
	if err != nil {
		return sum, err
	}
	return sum, end(st, o.Dir, drawn, cut)
}

// update opens what is new in the inbox.
func (in *ingester) update(ctx context.Context, sum *Summary) error {
	files, err := scan(in.inbox)
	if err != nil {
		return err
	}
	var fresh []found
	err = in.store.View(func(tx *store.Tx) error {
		for _, f := range files {
			rec, known, err := store.Get[exportRecord](tx, store.Exports, f.path)
			if err != nil {
				return err
			}
			if !known || !rec.current(f, in.keepPosition, in.limits) {
				fresh = append(fresh, f)
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	sum.InInbox, sum.Opened = len(files), len(fresh)
	if err := in.announce(fresh); err != nil {
		return err
	}
	if err := in.ingest(ctx, fresh); err != nil {
		return err
	}
	sum.Vanished, err = dropMoved(in.store, files)
	return err
}

// current tells whether an export is known as it now is and was read within
// the limits that now hold. A deferred one never is.
func (e *exportRecord) current(f found, position bool, limits parsers.Limits) bool {
	deferred := slices.ContainsFunc(e.Members, func(m memberRecord) bool { return m.Status == statusDeferred })
	return f.err == nil && !deferred && e.Version == readingVersion && e.Size == f.size &&
		e.ModTimeNS == f.modTimeNS && e.Position == position && e.Limits == limitsSum(limits)
}

// dropMoved forgets exports that are gone from the inbox but whose every
// recording is known from another place in it: they were moved, perhaps to the
// client whose they are. So does it those that held none. What is gone for good
// stays known, so that an inbox that is not there for a night costs nothing;
// vanished counts it.
func dropMoved(st *store.Store, files []found) (vanished int, err error) {
	present := map[string]bool{}
	for _, f := range files {
		present[f.path] = true
	}
	known := map[string]bool{} // checksums, of what is present
	gone := map[string]exportRecord{}
	err = st.View(func(tx *store.Tx) error {
		return store.Each(tx, store.Exports, "", func(path string, rec exportRecord) error {
			if !present[path] {
				gone[path] = rec
				return nil
			}
			for _, m := range rec.Members {
				known[m.SHA256] = true
			}
			return nil
		})
	})
	if err != nil || len(gone) == 0 {
		return 0, err
	}
	err = st.Update(func(tx *store.Tx) error {
		for path, rec := range gone {
			moved := !slices.ContainsFunc(rec.Members, func(m memberRecord) bool {
				return len(m.Legs) > 0 && !known[m.SHA256]
			})
			if !moved {
				vanished++
				continue
			}
			if err := deleteExport(tx, path); err != nil {
				return err
			}
			if err := markStale(tx, clientOf(path)); err != nil {
				return err
			}
		}
		return nil
	})
	return vanished, err
}

// refreshAll refreshes every client, and reads again the exports whose traces
// turn out to be lost. It gives the files of out/ that were written.
func refreshAll(ctx context.Context, in *ingester, p *practice.Practice, o Options, mayOpen bool, sum *Summary) (map[string]bool, error) {
	clients, err := clientsOf(in.store)
	if err != nil {
		return nil, err
	}
	clients = withListed(clients, p)
	if err := withdrawGone(in.store, o.Dir, clients); err != nil {
		return nil, err
	}
	r := &refresher{store: in.store, practice: p, asOf: o.AsOf, workers: o.Workers, progress: o.Progress, written: in.claims.paths()}
	data, err := r.refresh(ctx, clients)
	if err != nil {
		return nil, err
	}
	if len(r.stale) > 0 {
		if !mayOpen {
			return nil, fmt.Errorf("store: %d traces are lost; boutwise run reads them again from the inbox", len(r.stale))
		}
		if err := in.readAgain(ctx, r.stale); err != nil {
			return nil, err
		}
		r.stale = nil
		maps.Copy(r.written, in.claims.paths())
		if data, err = r.refresh(ctx, clients); err != nil {
			return nil, err
		}
		if len(r.stale) > 0 {
			return nil, fmt.Errorf("store: the traces of %s are lost and the export is gone from the inbox; put it back", strings.Join(r.stale, ", "))
		}
	}
	sum.Refreshed, sum.Exports, sum.Clients, sum.Unplaced = r.done, data.Exports, data.Clients, data.Unplaced
	sum.Refreshed.Measured += in.measured
	sum.Refreshed.Files = len(r.written)
	return r.written, nil
}

// readAgain opens the exports with the given members.
func (in *ingester) readAgain(ctx context.Context, members []string) error {
	files, err := scan(in.inbox)
	if err != nil {
		return err
	}
	return in.ingest(ctx, slices.DeleteFunc(files, func(f found) bool {
		return !slices.ContainsFunc(members, func(m string) bool { return m == f.path || strings.HasPrefix(m, f.path+"/") })
	}))
}

// withListed adds the clients of clients.csv: one who never sent anything is
// one whom the coach should see.
func withListed(clients []string, p *practice.Practice) []string {
	for _, c := range p.Clients {
		clients = append(clients, c.ID)
	}
	slices.Sort(clients)
	return slices.Compact(clients)
}

// clientsOf lists the clients with exports, in order; "" stands for exports
// in no client's folder.
func clientsOf(st *store.Store) (clients []string, err error) {
	seen := map[string]bool{}
	err = st.View(func(tx *store.Tx) error {
		return store.EachKey(tx, store.Exports, "", func(path string) { seen[clientOf(path)] = true })
	})
	return slices.Sorted(maps.Keys(seen)), err
}
