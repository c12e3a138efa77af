// Package coach judges a client's sessions together, as the coach would each
// morning. It is pure: rows in, rows out; the day is given.
//
//  1. Weeks. Sessions are put into ISO weeks, and each week's sessions against
//     what was prescribed for it ([tables.Answer]).
//  2. Findings. What the coach should see, each with its evidence.
//  3. Capacity. What the client can do, as far as the data can bear a figure.
//  4. Progress. Where the client stands in the programme and what might come
//     next, which rests on all of the above.
//
// Nothing here is a prescription: a suggestion names its rule, its numbers and
// its caution, and the coach decides.
package coach

import (
	"slices"

	"boutwise/metrics"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/tables"
)

// SessionView is one measured session and the facts of its day.
type SessionView struct {
	Session   tables.Session
	Bouts     []tables.Bout
	Facts     practice.Facts
	HeartRate metrics.Counts // seconds at each heart rate

	// SharedWith lists the other clients in whose folders one of the session's
	// exports lies as well, byte for byte.
	SharedWith []string

	// CadenceLockPct is the share of seconds, in percent, in which the heart
	// rate equals the cadence: a sensor that counts steps. 0 or NaN when there
	// is no cadence to compare with.
	CadenceLockPct float64
}

// Result is what a review of one client gives.
type Result struct {
	Weeks      []tables.Week
	Progress   []tables.Progress
	Capacities []tables.Capacity
	Findings   []tables.Finding

	// Answers holds every week's sessions against its prescriptions, in the
	// order of weeks, prescriptions and sessions.
	Answers []tables.Answer
}

// Review judges one client's sessions as of a day. Sessions after that day
// are left out, and so are those of a device whose clock was not set, for
// nobody knows which week they belong to, and those of less than a minute. The sessions are not modified; their order does not matter.
func Review(p *practice.Practice, client string, sessions []SessionView, asOf calendar.Date) Result {
	r := newReview(p, client, sessions, asOf)
	r.lookAtSessions()
	r.lookAtLoad()
	result := Result{
		Weeks:      r.weekRows(),
		Capacities: r.capacities(),
		Findings:   r.sortedFindings(),
		Answers:    r.answers(),
	}
	result.Progress = []tables.Progress{r.progress()}
	return result
}

// accident is the time trained, in seconds, below which a session is a device
// that was started by mistake: it fills no week and ends no silence. Common
// practice, no source.
const accident = 60

// review is one client's review in the making.
type review struct {
	practice *practice.Practice
	set      practice.Settings
	client   practice.Client
	sessions []*view // by start
	asOf     calendar.Date
	weeks    []week // from the first session's to that of asOf, idle ones too
	found    []tables.Finding

	// The edges of the last session's intensity categories, and the rates that
	// they rest on.
	edges            metrics.Edges
	restingHR, maxHR float64
}

func newReview(p *practice.Practice, client string, sessions []SessionView, asOf calendar.Date) *review {
	r := &review{practice: p, set: p.Settings, client: p.Client(client), asOf: asOf}
	views := make([]view, 0, len(sessions)) // never grows: it is pointed into
	for i := range sessions {
		s := &sessions[i].Session
		if s.LocalDate <= asOf && s.TrainedS() >= accident && p.Settings.Limits.Dated(s.LocalDate.Time()) {
			views = append(views, r.newView(&sessions[i]))
			r.sessions = append(r.sessions, &views[len(views)-1])
		}
	}
	slices.SortStableFunc(r.sessions, func(a, b *view) int {
		return a.Session.StartedUTC.Compare(b.Session.StartedUTC)
	})
	r.weeks = r.layOutWeeks()
	return r
}
