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
	iso      string  // such as 2026-W10
	sessions []*view // by start
	asked    []practice.Prescription
	answers  []tables.Answer
	over     bool // nothing more can come

	// Of the sessions that answer a prescription: those that meet it in every
	// respect, and those long enough for the week to count as kept.
	met, kept int
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
			iso:    monday.ISOWeek(),
			asked:  r.practice.PrescriptionsOn(r.client.ID, monday),
			over:   r.asOf >= monday+7,
		}
		n := 0
		for n < len(rest) && rest[n].Session.LocalDate < monday+7 {
			n++
		}
		w.sessions, rest = rest[:n:n], rest[n:]
		r.answer(&w)
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

// askedFor is what is asked of one kind; nil when nothing is.
func askedFor(kind practice.SessionKind, asked []practice.Prescription) *practice.Prescription {
	for i := range asked {
		if asked[i].Session == kind {
			return &asked[i]
		}
	}
	return nil
}

// weekRows turns the weeks into rows.
func (r *review) weekRows() []tables.Week {
	rows := make([]tables.Week, 0, len(r.weeks))
	for i := range r.weeks {
		rows = append(rows, r.weekRow(&r.weeks[i]))
	}
	return rows
}

// weekRow is the week's row. What rests on heart rate leaves out the sessions
// whose sensor is not to be believed.
func (r *review) weekRow(w *week) tables.Week {
	row := tables.Week{ClientID: r.client.ID, ISOWeek: w.iso, Monday: w.monday, Minutes: w.minutes()}
	moderate, vigorous, impulse := math.NaN(), math.NaN(), math.NaN()
	for _, v := range w.sessions {
		row.Sessions++
		if v.isBase() {
			row.BaseMinutes += v.Session.TrainedS() / 60
		}
		if v.kind() == metrics.Intervals {
			row.IntervalSessions++
			row.Rounds += v.Session.Bouts
		}
		if v.distrusted() {
			continue
		}
		m, vig := categoryMinutes(v)
		moderate, vigorous = addKnown(moderate, m), addKnown(vigorous, vig)
		impulse = addKnown(impulse, tables.Value(v.Session.TrainingImpulse))
		row.MaxHREstimated = row.MaxHREstimated || v.Facts.MaxHREstimated && v.Session.HRCoverage > 0
	}
	row.ModerateMinutes, row.VigorousMinutes = tables.Num(moderate), tables.Num(vigorous)
	row.ModerateEquivalent = tables.Num(metrics.ModerateEquivalent(moderate, vigorous))
	row.TrainingImpulse = tables.Num(impulse)
	if len(w.asked) > 0 {
		row.Prescribed, row.Met = whole(w.prescribed()), whole(w.met)
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
// uses: the weekly ranges are defined by them. NaN without edges or heart rate.
func categoryMinutes(v *view) (moderate, vigorous float64) {
	if v.intensity.Bands == nil {
		return math.NaN(), math.NaN()
	}
	return metrics.ModerateVigorous(v.intensity)
}
