package pipeline

import (
	"context"
	"errors"
	"slices"
	"strings"
	"sync"

	"golang.org/x/sync/errgroup"

	"boutwise/pipeline/calendar"
	"boutwise/pipeline/coach"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/store"
	"boutwise/pipeline/tables"
)

// clientsPerCommit is how many clients are made anew between two commits.
const clientsPerCommit = 50

// refresher brings the output of every client up to date: the steps from
// Group to Publish.
type refresher struct {
	store    *store.Store
	practice *practice.Practice
	asOf     calendar.Date
	workers  int
	progress Progress

	mu      sync.Mutex
	outputs map[string]outputRecord
	pending []outcome
	done    Refreshed
	stale   []string // exports whose trace is gone and must be read again
}

// Refreshed counts what a refresh did.
type Refreshed struct {
	Clients  int // made anew
	Sessions int // of them
	Measured int // sessions whose trace was measured
	Files    int // published files that changed
	Tables   map[string]clientTables
}

// outcome is what one client's refresh leaves to be committed.
type outcome struct {
	client  string
	record  clientRecord
	puts    map[string]sessionRecord
	deletes []string
	outputs map[string]outputRecord
	removed []string // published files that are no more
}

// measured is a client's rows and the sessions behind them, in one order.
type measured struct {
	clientTables
	sessions []session
	records  map[string]sessionRecord
}

// refresh brings all given clients up to date and joins the CSV files.
func (r *refresher) refresh(ctx context.Context, clients []string) error {
	err := r.readOutputs()
	if err != nil {
		return err
	}
	r.done.Tables = map[string]clientTables{}
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
	err = group.Wait()
	// What was made before a failure stays made.
	if flushErr := r.flush(); err == nil {
		err = flushErr
	}
	if err != nil {
		return err
	}
	return r.finishAll(clients)
}

// finishAll makes what rests on all clients together: the CSV files and the
// morning page.
func (r *refresher) finishAll(clients []string) error {
	if err := r.withdrawSamples(); err != nil {
		return err
	}
	if err := r.joinAll(clients); err != nil {
		return err
	}
	return r.drawIndex(clients)
}

// joinAll puts the CSV files together and commits what they are.
func (r *refresher) joinAll(clients []string) error {
	err := r.readOutputs()
	if err != nil {
		return err
	}
	puts, err := joinCSV(r.practice.Dir, r.outputs, clients)
	if err != nil {
		return err
	}
	r.done.Files += len(puts)
	return r.store.Update(func(tx *store.Tx) error { return putOutputs(tx, puts) })
}

// readOutputs reads what is known of the published files.
func (r *refresher) readOutputs() error {
	return r.store.View(func(tx *store.Tx) (err error) {
		r.outputs, err = outputsOf(tx)
		return err
	})
}

// inputs is the fingerprint of what a client's tables rest on besides its
// exports.
func (r *refresher) inputs(client string) string {
	p := r.practice
	of := func(id string) bool { return id == client || id == "*" }
	return fingerprint(struct {
		Version       int
		Schema        string
		AsOf          calendar.Date
		Client        practice.Client
		Settings      practice.Settings
		Measurements  []practice.Measurement
		Bands         []practice.Band
		Prescriptions []practice.Prescription
	}{
		measuringVersion, tables.SchemaVersion, r.asOf, p.Client(client), p.Settings,
		filter(p.Measurements, func(m practice.Measurement) bool { return of(m.Client) }),
		filter(p.Bands, func(b practice.Band) bool { return of(b.Client) }),
		filter(p.Prescriptions, func(x practice.Prescription) bool { return of(x.Client) }),
	})
}

func filter[T any](all []T, keep func(T) bool) []T {
	var kept []T
	for _, v := range all {
		if keep(v) {
			kept = append(kept, v)
		}
	}
	return kept
}

// client makes one client's tables anew, unless nothing that they rest on has
// changed.
func (r *refresher) client(client string) error {
	inputs := r.inputs(client)
	out := newPublisher(r.practice.Dir, r.outputs)
	var members []memberRecord
	records := map[string]sessionRecord{}
	unchanged := false
	err := r.store.View(func(tx *store.Tx) error {
		have, _, err := store.Get[clientRecord](tx, store.Clients, clientKey(client))
		if err != nil {
			return err
		}
		if unchanged = have.Inputs == inputs && out.complete(client); unchanged {
			return nil
		}
		members, err = membersOf(tx, client)
		if err != nil {
			return err
		}
		return store.Each(tx, store.Measured, sessionKey(client, ""), func(key string, rec sessionRecord) error {
			records[strings.TrimPrefix(key, sessionKey(client, ""))] = rec
			return nil
		})
	})
	if err != nil || unchanged {
		return err
	}
	o := outcome{client: client, record: clientRecord{Inputs: inputs}, puts: map[string]sessionRecord{}}
	t, err := r.measure(client, members, records, &o)
	if err == nil {
		err = r.publish(out, client, t, &o)
	}
	if errors.Is(err, store.ErrNoTrace) {
		return nil // its exports are in r.stale
	}
	if err != nil {
		return err
	}
	return r.finish(o, t.clientTables, out.written)
}

// measure makes a client's rows from its exports, measuring only the sessions
// whose inputs changed.
func (r *refresher) measure(client string, members []memberRecord, records map[string]sessionRecord, o *outcome) (measured, error) {
	set := observing(r.practice.Settings)
	sessions := group(members)
	gave := map[string][][]string{}
	t := measured{sessions: sessions, records: map[string]sessionRecord{}}
	var views []coach.SessionView
	var lost error
	for i := range sessions {
		s := &sessions[i]
		rec, known := records[s.id]
		delete(records, s.id)
		if inputs := s.inputs(set); !known || rec.Inputs != inputs {
			tr, given, err := s.trace(r.store, client)
			if errors.Is(err, store.ErrNoTrace) {
				r.forgetReading(s)
				lost = err
				continue
			}
			if err != nil {
				return t, err
			}
			rec = sessionRecord{Inputs: inputs, Observation: Observe(tr, s.about(client), set), Gave: given}
			o.puts[s.id] = rec
		}
		gave[s.id], t.records[s.id] = rec.Gave, rec
		facts := r.practice.FactsOn(client, localDate(rec.Observation, r.practice.Settings.Location))
		m := judge(rec.Observation, facts, r.practice.Settings.Location)
		t.clientTables.sessions = append(t.clientTables.sessions, m.Session)
		t.bouts = append(t.bouts, m.Bouts...)
		t.bandTimes = append(t.bandTimes, m.BandTimes...)
		views = append(views, coach.SessionView{Session: m.Session, Bouts: m.Bouts, BandTimes: m.BandTimes, Facts: facts,
			HeartRate: rec.Observation.HeartRate, CadenceLockPct: tables.Value(m.Session.CadenceLock)})
	}
	if lost != nil {
		return t, lost
	}
	for id := range records {
		o.deletes = append(o.deletes, id)
	}
	t.files = fileRows(client, members, sessions, gave)
	if len(views) > 0 {
		judged := coach.Review(r.practice, client, views, r.asOf)
		t.weeks, t.progress, t.capacities, t.findings = judged.Weeks, judged.Progress, judged.Capacities, judged.Findings
	}
	return t, nil
}

// publish writes a client's tables and pages, and removes those of
// sessions that are no more.
func (r *refresher) publish(out *publisher, client string, t measured, o *outcome) (err error) {
	if err := out.publish(client, t.clientTables); err != nil {
		return err
	}
	if client != "" {
		p := pages{
			store: r.store, practice: r.practice, out: out, client: client,
			tables: t.clientTables, sessions: t.sessions, records: t.records,
		}
		o.record.Summary, o.record.Recent, err = p.draw(r.asOf)
		if errors.Is(err, store.ErrNoTrace) {
			for i := range t.sessions {
				r.forgetReading(&t.sessions[i])
			}
		}
		if err != nil {
			return err
		}
	}
	o.outputs = out.puts
	o.removed, err = removeSessions(r.practice.Dir, client, o.deletes)
	return err
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
func (r *refresher) finish(o outcome, t clientTables, written int) error {
	r.mu.Lock()
	r.pending = append(r.pending, o)
	r.done.Clients++
	r.done.Sessions += len(t.sessions)
	r.done.Measured += len(o.puts)
	r.done.Files += written
	r.done.Tables[o.client] = t
	full := len(r.pending) >= clientsPerCommit
	r.mu.Unlock()
	if full {
		return r.flush()
	}
	return nil
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
	if err != nil {
		return err
	}
	fresh := make(map[string]outputRecord, len(r.outputs))
	for path, rec := range r.outputs {
		fresh[path] = rec
	}
	for _, o := range r.pending {
		for path, rec := range o.outputs {
			fresh[path] = rec
		}
	}
	// Others may be reading the old map: it is replaced, never changed.
	r.outputs, r.pending = fresh, nil
	return nil
}

func (o outcome) commit(tx *store.Tx) error {
	for id, rec := range o.puts {
		if err := store.Put(tx, store.Measured, sessionKey(o.client, id), rec); err != nil {
			return err
		}
	}
	for _, id := range o.deletes {
		if err := store.Delete(tx, store.Measured, sessionKey(o.client, id)); err != nil {
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

// membersOf lists a client's exports in the order of their paths. Files that
// lie in no client's folder belong to the client "".
func membersOf(tx *store.Tx, client string) ([]memberRecord, error) {
	prefix := ""
	if client != "" {
		prefix = client + "/"
	}
	var members []memberRecord
	err := store.Each(tx, store.Exports, prefix, func(path string, rec exportRecord) error {
		if clientOf(path) == client {
			members = append(members, rec.Members...)
		}
		return nil
	})
	slices.SortFunc(members, func(a, b memberRecord) int { return strings.Compare(a.Path, b.Path) })
	return members, err
}
