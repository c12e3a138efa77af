package pipeline

import (
	"slices"

	"boutwise/pipeline/calendar"
	"boutwise/pipeline/coach"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/review"
	"boutwise/pipeline/store"
	"boutwise/pipeline/tables"
)

// work is the refresh of one client.
type work struct {
	*refresher
	client  string
	want    clientInputs
	have    clientRecord
	members []memberRecord      // the exports; only when they are looked at
	also    map[string][]string // other clients who have their bytes, by checksum
	out     *publisher
	outcome outcome

	sessions []judged // in order of start
	before   []string // the ids of those on record, whatever they hold
	rows     rows
	files    []tables.File
	result   coach.Result
}

// judged is a session with all its rows.
type judged struct {
	id    string
	rec   sessionRecord
	facts practice.Facts
	Measurement
}

// load reads what is known of the client; current tells that nothing is to be
// done.
func (w *work) load() (current bool, err error) {
	complete, err := w.out.complete(w.client)
	if err != nil {
		return false, err
	}
	err = w.store.View(func(tx *store.Tx) (err error) {
		if w.have, _, err = store.Get[clientRecord](tx, store.Clients, clientKey(w.client)); err != nil {
			return err
		}
		if !complete {
			w.have.Inputs = clientInputs{}
		}
		if current = w.have.Inputs == w.want; current {
			return nil
		}
		if w.sessions, w.before, err = sessionsOf(tx, w.client); err != nil {
			return err
		}
		if len(w.sessions) < len(w.before) {
			w.have.Inputs = clientInputs{} // of a record that cannot be read nothing is left but its name
		}
		if w.observes() {
			return w.loadMembers(tx)
		}
		return nil
	})
	return current, err
}

// loadMembers reads what is known of the client's exports.
func (w *work) loadMembers(tx *store.Tx) (err error) {
	if w.members, err = membersOf(tx, w.client); err != nil {
		return err
	}
	w.also = map[string][]string{}
	for _, m := range w.members {
		if !m.shareable() {
			continue
		}
		if w.also[m.SHA256], err = alsoOf(tx, m); err != nil {
			return err
		}
	}
	return nil
}

// observes tells whether the exports have to be looked at: one of them, or how
// traces are measured or drawn, has changed.
func (w *work) observes() bool { return w.have.Inputs.Recordings != w.want.Recordings }

func (w *work) refresh() error {
	rec := &w.outcome.record
	rec.Inputs, rec.Exports, rec.Troubled, rec.Shared = w.want, w.have.Exports, w.have.Troubled, w.have.Shared
	if w.observes() {
		rec.Shared = nil
		if err := w.observe(); err != nil {
			return err
		}
		rec.Exports = countExports(w.files)
		rec.Troubled = review.Troubled(w.files)
	}
	if err := w.judge(); err != nil {
		return err
	}
	return w.publish()
}

// years lists the years that the client's sessions began in, in UTC.
func (w *work) years() (years []int) {
	for i := range w.sessions {
		if y := w.sessions[i].rec.Observation.Session.StartedUTC.Year(); !slices.Contains(years, y) {
			years = append(years, y)
		}
	}
	return years
}

// beganIn counts the client's sessions of a year.
func (w *work) beganIn(year int) (n int) {
	for i := range w.sessions {
		if w.sessions[i].rec.Observation.Session.StartedUTC.Year() == year {
			n++
		}
	}
	return n
}

// judge applies the client's facts to every session and reviews all together.
func (w *work) judge() error {
	zone := w.practice.Settings.Location
	shared := map[string][]string{}
	for _, s := range w.outcome.record.Shared {
		shared[s.Session] = s.Others
	}
	bouts := 0
	for i := range w.sessions {
		bouts += len(w.sessions[i].rec.Observation.Bouts)
	}
	w.rows.bouts = make([]tables.Bout, bouts)
	room := w.rows.bouts
	views := make([]coach.SessionView, len(w.sessions))
	for i := range w.sessions {
		s := &w.sessions[i]
		obs := &s.rec.Observation
		s.facts = w.practice.FactsOn(w.client, localDate(obs, zone))
		if err := w.countOutput(s); err != nil {
			return err
		}
		n := len(obs.Bouts)
		s.Measurement = judge(obs, s.facts, zone, room[:n:n])
		room = room[n:]
		views[i] = coach.SessionView{
			Session: s.Session, Bouts: s.Bouts, Facts: withoutBands(s.facts),
			HeartRate: obs.HeartRate, CadenceLockPct: tables.Value(s.Session.CadenceLock), SharedWith: shared[s.id],
		}
	}
	if w.client != "" {
		w.result = coach.Review(w.practice, w.client, views, w.asOf)
	}
	return w.countJudged()
}

// withoutBands are the facts that a review rests on: it goes by the same
// categories of intensity for every client. So a change of bands changes none
// of its tables.
func withoutBands(f practice.Facts) practice.Facts {
	f.Bands = nil
	return f
}

// countJudged counts the sessions that are new, and those that were measured
// anew or that other facts hold of than before.
func (w *work) countJudged() error {
	var before judgedRecord
	err := w.store.View(func(tx *store.Tx) (err error) {
		before, _, err = store.Get[judgedRecord](tx, store.Clients, judgedKey(w.client))
		return err
	})
	if err != nil {
		return err
	}
	old := make(map[string]uint64, len(before.Sessions))
	for i, id := range before.Sessions {
		old[id] = before.Facts[i]
	}
	for i := range w.sessions {
		s := &w.sessions[i]
		facts := judgedBy(&s.rec, s.facts)
		switch was, known := old[s.id]; {
		case !known:
			w.outcome.came++
		case was != facts:
			w.outcome.rejudged++
		}
		w.outcome.judged.Sessions = append(w.outcome.judged.Sessions, s.id)
		w.outcome.judged.Facts = append(w.outcome.judged.Facts, facts)
	}
	return nil
}

// publish writes the tables and pages that rest on what changed.
func (w *work) publish() error {
	w.gather()
	if err := w.putTables(); err != nil {
		return err
	}
	w.outcome.outputs = w.out.puts
	if w.client == "" {
		return nil
	}
	return w.putClientPages()
}

// putTables writes the tables that rest on what changed. What the others rest
// on is as it was, so their rows are, too.
func (w *work) putTables() error {
	have, want := w.have.Inputs, w.want
	var puts []func() error
	if have.Review != want.Review {
		puts = append(puts,
			func() error { return putTable(w.out, tables.Weeks, w.client, w.result.Weeks) },
			func() error { return putTable(w.out, tables.Answers, w.client, w.result.Answers) },
			func() error { return putTable(w.out, tables.Progresses, w.client, w.result.Progress) },
			func() error { return putTable(w.out, tables.Capacities, w.client, w.result.Capacities) },
			func() error { return putTable(w.out, tables.Findings, w.client, w.result.Findings) })
	}
	if have.Recordings != want.Recordings {
		puts = append(puts, func() error { return putTable(w.out, tables.Files, w.client, w.files) })
	}
	if have.Facts != want.Facts {
		puts = append(puts,
			func() error { return putTable(w.out, tables.Sessions, w.client, w.rows.sessions) },
			func() error { return putTable(w.out, tables.Bouts, w.client, w.rows.bouts) })
	}
	if have.Bands != want.Bands {
		puts = append(puts, func() error { return putTable(w.out, tables.BandTimes, w.client, w.rows.bandTimes) })
	}
	for _, put := range puts {
		if err := put(); err != nil {
			return err
		}
	}
	return nil
}

// rows are the rows of all sessions of a client, in order of start.
type rows struct {
	sessions  []tables.Session
	bouts     []tables.Bout
	bandTimes []tables.BandTime
}

// gather brings the sessions' rows together; those of the bouts lie so already.
func (w *work) gather() {
	bandTimes := 0
	for i := range w.sessions {
		bandTimes += len(w.sessions[i].BandTimes)
	}
	w.rows.sessions = make([]tables.Session, 0, len(w.sessions))
	w.rows.bandTimes = make([]tables.BandTime, 0, bandTimes)
	for i := range w.sessions {
		s := &w.sessions[i]
		w.rows.sessions = append(w.rows.sessions, s.Session)
		w.rows.bandTimes = append(w.rows.bandTimes, s.BandTimes...)
	}
}

// recentDays is how many days back the morning page lists sessions. It goes
// by the day of the session and not of its arrival, so that the page depends
// on the practice alone and not on which runs there were.
const recentDays = 7

func (w *work) recent() (lines []review.SessionLine) {
	for i := range w.sessions {
		s := &w.sessions[i]
		if day := s.Session.LocalDate; day > w.asOf-recentDays && day <= w.asOf {
			lines = append(lines, review.LineOf(s.Session, s.Bouts))
		}
	}
	return lines
}

// prescribed gives what is prescribed to the client on a day.
func (w *work) prescribed(day calendar.Date) []practice.Prescription {
	return w.practice.PrescriptionsOn(w.client, day)
}
