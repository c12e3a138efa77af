package coach

import (
	"math"

	"boutwise/metrics"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/tables"
)

// week is one ISO week of the client.
type week struct {
	monday   calendar.Date
	sessions []*view // by start
	asked    []practice.Prescription
	answers  []Answer
	over     bool // nothing more can come
}

// layOutWeeks gives every ISO week from the first session's to that of the
// review's day, idle ones too: a week without a session is what a coach must
// see. A prescription that begins within a week asks for nothing in it.
func (r *review) layOutWeeks() []week {
	if len(r.sessions) == 0 {
		return nil
	}
	var weeks []week
	rest := r.sessions
	for monday := rest[0].Session.LocalDate.Monday(); monday <= r.asOf; monday += 7 {
		w := week{
			monday: monday,
			asked:  r.practice.PrescriptionsOn(r.client.ID, monday),
			over:   r.asOf >= monday+7,
		}
		for len(rest) > 0 && rest[0].Session.LocalDate < monday+7 {
			w.sessions, rest = append(w.sessions, &rest[0]), rest[1:]
		}
		w.answers = r.answer(w)
		weeks = append(weeks, w)
	}
	return weeks
}

// prescribed is the number of sessions asked for.
func (w *week) prescribed() int {
	n := 0
	for _, a := range w.asked {
		n += a.PerWeek
	}
	return n
}

// done is the number of sessions that answer a prescription, met is how many
// of them meet it in every respect.
func (w *week) done() (done, met int) {
	for _, a := range w.answers {
		if a.Asked != nil && a.SessionID != "" {
			done++
			if a.Met() {
				met++
			}
		}
	}
	return done, met
}

// askedFor is what was asked of one kind; nil when nothing was.
func (w *week) askedFor(kind practice.SessionKind) *practice.Prescription {
	for i, a := range w.asked {
		if a.Session == kind {
			return &w.asked[i]
		}
	}
	return nil
}

// weekRows turns the weeks into rows.
func (r *review) weekRows() []tables.Week {
	var rows []tables.Week
	for i := range r.weeks {
		rows = append(rows, r.weekRow(&r.weeks[i]))
	}
	return rows
}

func (r *review) weekRow(w *week) tables.Week {
	row := tables.Week{ClientID: r.client.ID, ISOWeek: w.monday.ISOWeek(), Monday: w.monday}
	moderate, vigorous, impulse := math.NaN(), math.NaN(), math.NaN()
	for _, v := range w.sessions {
		minutes := v.Session.RecordedS / 60
		row.Sessions++
		row.Minutes += minutes
		if v.isBase() {
			row.BaseMinutes += minutes
		}
		if v.kind() == metrics.Intervals {
			row.IntervalSessions++
			row.Rounds += v.Session.Bouts
		}
		m, vig := categoryMinutes(v)
		moderate, vigorous = addKnown(moderate, m), addKnown(vigorous, vig)
		impulse = addKnown(impulse, tables.Value(v.Session.TrainingImpulse))
	}
	row.ModerateMinutes, row.VigorousMinutes = tables.Num(moderate), tables.Num(vigorous)
	row.ModerateEquivalent = tables.Num(metrics.ModerateEquivalent(moderate, vigorous))
	row.TrainingImpulse = tables.Num(impulse)
	if len(w.asked) > 0 {
		_, met := w.done()
		row.Prescribed, row.Met = new(int32), new(int32)
		*row.Prescribed, *row.Met = int32(w.prescribed()), int32(met)
	}
	return row
}

// addKnown adds what is known; the sum of nothing known is NaN.
func addKnown(sum, x float64) float64 {
	switch {
	case math.IsNaN(x):
		return sum
	case math.IsNaN(sum):
		return x
	}
	return sum + x
}

// categoryMinutes is a session's time of moderate and of vigorous or higher
// intensity by heart rate, in the ACSM categories whatever bands the practice
// uses: the weekly ranges are defined by them. NaN where heart rate gives no
// verdict.
func categoryMinutes(v *view) (moderate, vigorous float64) {
	edges, ok := categories(v.Facts)
	if !ok || len(v.HeartRate) == 0 {
		return math.NaN(), math.NaN()
	}
	return metrics.ModerateVigorous(v.HeartRate.BandTime(edges))
}
