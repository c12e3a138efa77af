package coach

import (
	"math"

	"boutwise/metrics"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/tables"
)

// minutesKeptShare is the share of the prescribed minutes from which a
// session counts as done: devices are started late and stopped early. Common
// practice, no source.
const minutesKeptShare = 0.9

// weeks gives one row for every ISO week from the first session's to the one
// of asOf, idle ones too: a week without a session is what a coach must see.
func weeks(p *practice.Practice, client string, sessions []SessionView, asOf calendar.Date) []tables.Week {
	if len(sessions) == 0 {
		return nil
	}
	first, last := sessions[0].Session.LocalDate.Monday(), asOf.Monday()
	byWeek := map[calendar.Date][]SessionView{}
	for _, s := range sessions {
		monday := s.Session.LocalDate.Monday()
		byWeek[monday] = append(byWeek[monday], s)
		first, last = min(first, monday), max(last, monday)
	}
	var rows []tables.Week
	for monday := first; monday <= last; monday += 7 {
		rows = append(rows, week(p, client, monday, byWeek[monday]))
	}
	return rows
}

func week(p *practice.Practice, client string, monday calendar.Date, sessions []SessionView) tables.Week {
	row := tables.Week{ClientID: client, ISOWeek: monday.ISOWeek(), Monday: monday}
	moderate, vigorous, impulse := math.NaN(), math.NaN(), math.NaN()
	for _, v := range sessions {
		s := v.Session
		minutes := s.RecordedS / 60
		row.Sessions++
		row.Minutes += minutes
		switch metrics.SessionKind(s.Kind) {
		case metrics.Base, metrics.BaseWithBursts:
			row.BaseMinutes += minutes
		case metrics.Intervals:
			row.IntervalSessions++
			row.Rounds += s.Bouts
		}
		m, vig := categoryMinutes(v)
		moderate, vigorous = addKnown(moderate, m), addKnown(vigorous, vig)
		impulse = addKnown(impulse, tables.Value(s.TrainingImpulse))
	}
	row.ModerateMinutes, row.VigorousMinutes = tables.Num(moderate), tables.Num(vigorous)
	row.ModerateEquivalent = tables.Num(metrics.ModerateEquivalent(moderate, vigorous))
	row.TrainingImpulse = tables.Num(impulse)
	row.Prescribed, row.Met = prescribedAndMet(p.PrescriptionsOn(client, monday), sessions)
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
// uses: the weekly ranges are defined by them. NaN without a heart rate or the
// client's rates, and for clients whose heart rate is limited by medication,
// in whom the categories do not hold.
func categoryMinutes(v SessionView) (moderate, vigorous float64) {
	f := v.Facts
	if f.HRLimitingMedication || len(v.HeartRate) == 0 || math.IsNaN(f.MaxHR) {
		return math.NaN(), math.NaN()
	}
	edges := metrics.MaxHREdges(f.MaxHR)
	if !math.IsNaN(f.RestingHR) {
		edges = metrics.ReserveEdges(f.RestingHR, f.MaxHR)
	}
	return metrics.ModerateVigorous(v.HeartRate.BandTime(edges))
}

// prescribedAndMet counts the sessions that the week's prescriptions ask for
// and those that answer one: of the kind asked for, and long enough where a
// length was asked for. Both are nil without a prescription.
func prescribedAndMet(asked []practice.Prescription, sessions []SessionView) (prescribed, met *int32) {
	if len(asked) == 0 {
		return nil, nil
	}
	prescribed, met = new(int32), new(int32)
	for _, a := range asked {
		*prescribed += int32(a.PerWeek)
		answered := 0
		for _, v := range sessions {
			if answered < a.PerWeek && answers(v.Session, a) {
				answered++
			}
		}
		*met += int32(answered)
	}
	return prescribed, met
}

func answers(s tables.Session, asked practice.Prescription) bool {
	long := math.IsNaN(asked.Minutes) || s.RecordedS/60 >= minutesKeptShare*asked.Minutes
	return long && s.Kind == string(asked.Session)
}
