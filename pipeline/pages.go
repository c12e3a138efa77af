package pipeline

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"boutwise/metrics"
	"boutwise/metrics/bouts"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/review"
	"boutwise/pipeline/store"
	"boutwise/pipeline/tables"
)

// pagesVersion counts changes of how pages look: the next run draws them anew.
const pagesVersion = 1

// recentDays is how many days back the morning page lists sessions. It goes
// by the day of the session and not of its arrival, so that the page depends
// on the practice alone and not on which runs there were.
const recentDays = 7

func pagePath(path string) string { return filepath.Join("out", "review", filepath.FromSlash(path)) }

// pages draws the pages of one client.
type pages struct {
	store    *store.Store
	practice *practice.Practice
	out      *publisher
	client   string
	tables   clientTables
	sessions []session
	records  map[string]sessionRecord // by session
}

// draw writes the client's page and its sessions' and gives what the morning
// page needs of the client.
func (p *pages) draw(asOf calendar.Date) (review.Summary, []review.SessionLine, error) {
	data := review.ClientData{
		Client: p.practice.Client(p.client), Files: p.tables.files, Sessions: p.tables.sessions,
		Bouts: p.tables.bouts, BandTimes: p.tables.bandTimes, Weeks: p.tables.weeks,
		Progress: p.tables.progress, Capacities: p.tables.capacities, Findings: p.tables.findings,
		Prescribed: func(day calendar.Date) []practice.Prescription { return p.practice.PrescriptionsOn(p.client, day) },
	}
	page, err := review.Client(data)
	if err != nil {
		return review.Summary{}, nil, err
	}
	if err := p.out.put(pagePath(page.Path), page.HTML); err != nil {
		return review.Summary{}, nil, err
	}
	var recent []review.SessionLine
	for i := range p.sessions {
		row := p.tables.sessions[i]
		if err := errors.Join(p.drawSession(&p.sessions[i], row), p.putSamples(&p.sessions[i])); err != nil {
			return review.Summary{}, nil, err
		}
		if row.LocalDate > asOf-recentDays && row.LocalDate <= asOf {
			recent = append(recent, review.LineOf(row, p.tables.bouts))
		}
	}
	return review.Summarise(data), recent, nil
}

// drawSession draws a session's page, unless nothing that it rests on changed:
// then its trace is not even read.
func (p *pages) drawSession(s *session, row tables.Session) error {
	data := review.SessionData{
		Client: p.practice.Client(p.client), Session: row,
		Bouts:      filter(p.tables.bouts, func(b tables.Bout) bool { return b.SessionID == s.id }),
		BandTimes:  filter(p.tables.bandTimes, func(b tables.BandTime) bool { return b.SessionID == s.id }),
		Findings:   filter(p.tables.findings, func(f tables.Finding) bool { return f.SessionID == s.id }),
		Files:      filter(p.tables.files, func(f tables.File) bool { return f.SessionID == s.id }),
		Prescribed: p.practice.PrescriptionsOn(p.client, row.LocalDate.Monday()),
	}
	path := pagePath(review.SessionPath(p.client, s.id))
	inputs := fingerprint(struct {
		Version int
		Trace   string
		Data    review.SessionData
	}{pagesVersion, p.records[s.id].Inputs, data})
	return p.out.putDrawn(path, inputs, func() ([]byte, error) {
		tr, _, err := s.trace(p.store, p.client)
		if err != nil {
			return nil, err
		}
		data.Trace, data.Output = *tr, signalColumn(tr, s.about(p.client), bouts.Signal(row.OutputSignal))
		page, err := review.Session(data)
		return page.HTML, err
	})
}

// signalColumn is the column that bouts were looked for in; nil where that is
// no output.
func signalColumn(tr *metrics.Trace, about About, signal bouts.Signal) []float64 {
	if signal == bouts.HeartRate {
		return nil
	}
	list := outputs(tr, gaitOf(about.Sport, tr.Speed), gradeOf(tr, about.Indoor))
	if i := slices.IndexFunc(list, func(o output) bool { return o.signal == signal }); i >= 0 {
		return list[i].values
	}
	return nil
}

// putDrawn makes the file hold what render gives, which is asked only when
// the inputs changed or the file is not there.
func (p *publisher) putDrawn(path, inputs string, render func() ([]byte, error)) error {
	if known, ok := p.known[path]; ok && known.Inputs == inputs && p.present(path) {
		return nil
	}
	data, err := render()
	if err != nil {
		return err
	}
	record := recordOf(data)
	record.Inputs = inputs
	return p.write(path, data, record)
}

// drawIndex writes the morning page and the stylesheet.
func (r *refresher) drawIndex(clients []string) error {
	data := review.IndexData{AsOf: r.asOf}
	err := r.store.View(func(tx *store.Tx) error {
		for _, client := range clients {
			rec, _, err := store.Get[clientRecord](tx, store.Clients, clientKey(client))
			if err != nil {
				return err
			}
			if client == "" {
				members, err := membersOf(tx, client)
				if err != nil {
					return err
				}
				data.Unplaced = fileRows(client, members, nil, nil)
				continue
			}
			data.Clients = append(data.Clients, rec.Summary)
			data.Arrived = append(data.Arrived, rec.Recent...)
		}
		return nil
	})
	if err != nil {
		return err
	}
	page, err := review.Index(data)
	if err != nil {
		return err
	}
	out := newPublisher(r.practice.Dir, r.outputs)
	for _, pg := range []review.Page{review.Style(), page} {
		if err := out.put(pagePath(pg.Path), pg.HTML); err != nil {
			return err
		}
	}
	r.done.Files += out.written
	return r.store.Update(func(tx *store.Tx) error { return putOutputs(tx, out.puts) })
}

// removeSessions deletes the pages and samples of sessions that are no more.
func removeSessions(dir, client string, sessions []string) ([]string, error) {
	var paths, removed []string
	for _, id := range sessions {
		paths = append(paths, pagePath(review.SessionPath(client, id)), samplesPath(client, id))
	}
	for _, path := range paths {
		if err := os.Remove(filepath.Join(dir, path)); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return nil, fmt.Errorf("output: %w", err)
		}
		removed = append(removed, path)
	}
	return removed, nil
}
