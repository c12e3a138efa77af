package pipeline

import (
	"path/filepath"
	"slices"

	"boutwise/metrics"
	"boutwise/metrics/bouts"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/review"
	"boutwise/pipeline/store"
	"boutwise/pipeline/tables"
	"boutwise/pipeline/units"
)

// pagesVersion counts changes of how pages look: the next run draws them anew.
const pagesVersion = 2

func pagePath(path string) string { return filepath.Join("out", "review", filepath.FromSlash(path)) }

// drawer draws the pages of one client's sessions. They show what the traces
// show and nothing that rests on the client's facts, so that a change of those
// touches none of them: the facts of all sessions of a year stand in one file
// beside them (see [review.Facts]).
type drawer struct {
	practice *practice.Practice
	client   string
}

// data is what a session's page shows, the trace left out.
func (d drawer) data(s *session, rec *sessionRecord) review.SessionData {
	row := rec.Observation.Session
	row.LocalDate = localDate(&rec.Observation, d.practice.Settings.Location)
	data := review.SessionData{
		Units:   units.System(d.practice.Settings.ReviewUnits),
		Client:  practice.Client{ID: d.client, Name: d.practice.Client(d.client).Name},
		Session: row, Files: s.fileRows(d.client, rec.Gave),
	}
	for _, b := range rec.Observation.Bouts {
		data.Bouts = append(data.Bouts, b.Row)
	}
	return data
}

// inputs is the fingerprint of all that a session's page rests on. That of the
// observation stands for its rows.
func (d drawer) inputs(s *session, rec *sessionRecord) string {
	data := d.data(s, rec)
	return fingerprint([]any{pagesVersion, rec.Inputs, data.Units, data.Client.Name, data.Session.LocalDate, data.Files})
}

// page draws a session's page.
func (d drawer) page(s *session, rec *sessionRecord, tr *metrics.Trace) ([]byte, error) {
	data := d.data(s, rec)
	data.Trace, data.Output = *tr, signalColumn(tr, s.about(d.client), bouts.Signal(data.Session.OutputSignal))
	page, err := review.Session(data)
	return page.HTML, err
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

// putClientPages writes the client's page and the facts of its sessions, and
// keeps what the morning page needs of the client.
func (w *work) putClientPages() error {
	data := review.ClientData{
		Units:  units.System(w.practice.Settings.ReviewUnits),
		Client: w.practice.Client(w.client), Files: w.outcome.record.Troubled,
		Sessions: w.rows.sessions, Bouts: w.rows.bouts, BandTimes: w.rows.bandTimes,
		Weeks: w.result.Weeks, Answers: w.result.Answers, Progress: w.result.Progress, Capacities: w.result.Capacities, Findings: w.result.Findings,
		Prescribed: w.prescribed,
	}
	page, err := review.Client(data)
	if err == nil {
		err = w.out.put(pagePath(page.Path), page.HTML)
	}
	if err == nil {
		err = w.putFacts(data.Client)
	}
	w.outcome.record.Summary, w.outcome.record.Recent = review.Summarise(data), w.recent()
	return err
}

// putFacts writes a file a year with what rests on facts in the pages of its
// sessions.
func (w *work) putFacts(client practice.Client) error {
	found := map[string][]tables.Finding{}
	for _, f := range w.result.Findings {
		found[f.SessionID] = append(found[f.SessionID], f)
	}
	answers := map[string]*tables.Answer{}
	for i := range w.result.Answers {
		answers[w.result.Answers[i].SessionID] = &w.result.Answers[i]
	}
	for _, year := range w.years() {
		all := make([]review.SessionFacts, 0, w.beganIn(year))
		for i := range w.sessions {
			if s := &w.sessions[i]; s.Session.StartedUTC.Year() == year {
				all = append(all, review.SessionFacts{
					Units:   units.System(w.practice.Settings.ReviewUnits),
					Session: s.Session, Bouts: s.Bouts, BandTimes: s.BandTimes, Findings: found[s.id],
					Answer: answers[s.id], Prescribed: w.prescribed(s.Session.LocalDate.Monday()),
				})
			}
		}
		page, err := review.Facts(client, year, all)
		if err != nil {
			return err
		}
		if err := w.out.put(pagePath(page.Path), page.HTML); err != nil {
			return err
		}
	}
	return nil
}

// drawIndex writes the morning page and what all pages share.
func (r *refresher) drawIndex(clients []string) (review.IndexData, error) {
	data := review.IndexData{AsOf: r.asOf, Exports: map[string]int{}}
	err := r.store.View(func(tx *store.Tx) error {
		for _, client := range clients {
			rec, _, err := store.Get[clientRecord](tx, store.Clients, clientKey(client))
			if err != nil {
				return err
			}
			for status, n := range rec.Exports {
				data.Exports[status] += n
			}
			if client == "" {
				data.Unplaced = rec.Troubled
				continue
			}
			data.Clients = append(data.Clients, rec.Summary)
			data.Arrived = append(data.Arrived, rec.Recent...)
		}
		return nil
	})
	if err != nil {
		return data, err
	}
	page, err := review.Index(data)
	if err != nil {
		return data, err
	}
	out := r.publisher()
	for _, pg := range append(review.Shared(), page) {
		if err := out.put(pagePath(pg.Path), pg.HTML); err != nil {
			return data, err
		}
	}
	return data, r.commitOutputs(out)
}
