package pipeline

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"

	"boutwise/metrics"
	"boutwise/pipeline/durable"
	"boutwise/pipeline/review"
	"boutwise/pipeline/store"
)

// observe makes sessions of the client's exports, measures those whose inputs
// changed, and draws what shows a trace.
func (w *work) observe() error {
	known := map[string]sessionRecord{}
	years := w.years() // that there were sessions in
	gone := map[string]bool{}
	for _, id := range w.before {
		gone[id] = true
	}
	for _, s := range w.sessions {
		known[s.id] = s.rec
	}
	w.sessions = w.sessions[:0]
	pages, err := w.pagesThere()
	if err != nil {
		return err
	}
	draw := drawer{w.practice, w.client}
	sessions := group(w.members)
	gave := map[string][][]string{}
	var lost error
	for i := range sessions {
		s := &sessions[i]
		old := known[s.id]
		delete(gone, s.id)
		rec, err := w.observeSession(s, old, draw, pages)
		if errors.Is(err, store.ErrNoTrace) {
			// All lost traces are told at once, to be read again together.
			w.forgetReading(s)
			lost = err
			continue
		}
		if err != nil {
			return err
		}
		gave[s.id] = rec.Gave
		if others := s.sharedWith(w.also); len(others) > 0 {
			w.outcome.record.Shared = append(w.outcome.record.Shared, sharedRecord{Session: s.id, Others: others})
		}
		w.sessions = append(w.sessions, judged{id: s.id, rec: rec})
	}
	if lost != nil {
		return lost
	}
	w.files = fileRows(w.client, w.members, sessions, gave)
	for id := range gone {
		w.outcome.deletes = append(w.outcome.deletes, id)
		// Its page and facts are forgotten even where somebody took the files away.
		pages[filepath.Base(review.SessionPath(w.client, id))] = true
	}
	if len(gone) > 0 {
		for _, year := range years {
			pages[filepath.Base(review.FactsPath(w.client, year))] = true
		}
	}
	return w.removeStray(pages)
}

// observeSession brings one session's record, page and samples up to date. The
// trace is read only where one of them changed.
func (w *work) observeSession(s *session, old sessionRecord, draw drawer, pages map[string]bool) (sessionRecord, error) {
	rec, set := old, observing(w.practice.Settings)
	var tr *metrics.Trace
	var given [][]string
	read := func() (err error) {
		if tr == nil {
			tr, given, err = s.trace(w.store, w.client)
		}
		return err
	}
	if inputs := s.inputs(set); rec.Inputs != inputs {
		if err := read(); err != nil {
			return rec, err
		}
		rec = sessionRecord{Inputs: inputs, Observation: Observe(tr, s.about(w.client), set), Gave: given}
		w.outcome.puts[s.id] = rec
	}
	if w.client == "" {
		return rec, nil
	}
	path := pagePath(review.SessionPath(w.client, s.id))
	there := pages[filepath.Base(path)]
	delete(pages, filepath.Base(path))
	inputs := draw.inputs(s, &rec)
	known, drawn, err := w.out.known(path)
	if err != nil {
		return rec, err
	}
	if !drawn || !there || known.Inputs != inputs {
		if err := read(); err != nil {
			return rec, err
		}
		page, err := draw.page(s, &rec, tr)
		if err != nil {
			return rec, err
		}
		if err := w.out.putDrawn(path, inputs, page); err != nil {
			return rec, err
		}
	}
	return rec, w.putSamples(s, &rec, func() (*metrics.Trace, error) {
		err := read()
		return tr, err
	})
}

// pagesThere lists the files that lie among the client's session pages. The
// folder is made: a client without sessions has it, too.
func (w *work) pagesThere() (map[string]bool, error) {
	there := map[string]bool{}
	if w.client == "" {
		return there, nil
	}
	dir := filepath.Join(w.practice.Dir, filepath.Dir(pagePath(review.SessionPath(w.client, "x"))))
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("output: %w", durable.WithRemedy(err))
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, fmt.Errorf("output: %w", err)
	}
	for _, e := range entries {
		there[e.Name()] = true
	}
	return there, nil
}

// removeStray deletes the pages and samples of sessions that are no more. rest
// are the files among the pages that belong to no session.
func (w *work) removeStray(rest map[string]bool) error {
	dir := filepath.Dir(pagePath(review.SessionPath(w.client, "x")))
	years := w.years()
	for name := range rest {
		if !slices.ContainsFunc(years, func(year int) bool { return filepath.Base(review.FactsPath(w.client, year)) == name }) {
			w.outcome.removed = append(w.outcome.removed, filepath.Join(dir, name))
		}
	}
	for _, id := range w.outcome.deletes {
		w.outcome.removed = append(w.outcome.removed, samplesPath(w.client, id))
	}
	for _, path := range w.outcome.removed {
		if err := durable.Delete(filepath.Join(w.practice.Dir, path)); err != nil {
			return fmt.Errorf("output: %w", err)
		}
	}
	return nil
}
