package coach

import (
	"math"

	"boutwise/metrics"
	"boutwise/metrics/stats"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/practice"
)

// jumpWeeks is how many weeks before it a week's minutes are compared with,
// and jumpMinWeeks how many of them there must be.
const (
	jumpWeeks    = 4
	jumpMinWeeks = 3
)

// lookAtLoad judges what lies between sessions.
func (r *review) lookAtLoad() {
	r.lookAtGaps()
	for i := range r.weeks {
		r.lookAtIntervalCount(&r.weeks[i])
		r.lookAtJump(i)
	}
	r.lookAtSilence()
	r.noteMedication()
}

// gapGrace is the share of the hours due by which interval sessions may lie
// closer: 4 of 48, for nobody trains by the clock. Common practice, no source.
const gapGrace = 1.0 / 12

// lookAtGaps asks whether interval sessions lie far enough apart, in whole
// hours.
func (r *review) lookAtGaps() {
	var before *view
	for i := range r.sessions {
		v := r.sessions[i]
		if v.kind() != metrics.Intervals {
			continue
		}
		if before != nil {
			hours := math.Round(v.Session.StartedUTC.Sub(before.Session.StartedUTC).Hours())
			due := r.set.Findings.IntervalGapH
			if limit := (1 - gapGrace) * due; hours < limit {
				r.find(v, Soon, TooClose, hours, limit, "hours between the starts of two interval sessions, a twelfth less than due allowed; "+noSource,
					"intervals %.0f h after intervals on %s, %g h are due", hours, before.Session.LocalDate, due)
			}
		}
		before = v
	}
}

// lookAtIntervalCount counts a week's interval sessions against those asked
// for, none where only other work was. Too few is only a note: the week's
// answers already say what was missed.
func (r *review) lookAtIntervalCount(w *week) {
	least, most, asked := r.intervalsAsked(w)
	if !asked {
		return
	}
	var done []*view
	for _, v := range w.sessions {
		if v.kind() == metrics.Intervals {
			done = append(done, v)
		}
	}
	const method = "interval sessions of an ISO week against those prescribed; " + noSource
	switch n := len(done); {
	case n > most:
		r.find(done[n-1], Soon, TooManyInterval, float64(n), float64(most), method,
			"%s in %s, %d prescribed", count(n, "interval session"), w.iso, most)
	case n < least && w.over:
		r.findOn(w.monday+6, Note, TooFewIntervals, float64(n), float64(least), method,
			"%s in %s, %d prescribed", count(n, "interval session"), w.iso, least)
	}
}

// intervalsAsked is how many interval sessions the week asks for: at least
// those of its Monday, at most those of its last day where they are more, for
// a prescription may begin within the week. asked is false where no work of
// any kind is prescribed.
func (r *review) intervalsAsked(w *week) (least, most int, asked bool) {
	atEnd := r.practice.PrescriptionsOn(r.client.ID, w.monday+6)
	if row := askedFor(practice.Intervals, w.asked); row != nil {
		least = row.PerWeek
	}
	most = least
	if row := askedFor(practice.Intervals, atEnd); row != nil {
		most = max(least, row.PerWeek)
	}
	return least, most, len(w.asked)+len(atEnd) > 0
}

// lookAtJump compares a week's minutes with the mean of the weeks before it.
// After weeks without any there is no percentage; the minutes alone decide.
func (r *review) lookAtJump(i int) {
	first := max(0, i-jumpWeeks)
	if i-first < jumpMinWeeks {
		return
	}
	var before []float64
	for k := first; k < i; k++ {
		before = append(before, r.weeks[k].minutes())
	}
	set, usual, now := r.set.Findings, stats.Mean(before), r.weeks[i].minutes()
	jump, rise := 100*(now-usual)/usual, now-usual
	if now == 0 || rise < set.WeeklyJumpMin || jump < set.WeeklyJumpPct {
		return
	}
	day := r.weeks[i].sessions[len(r.weeks[i].sessions)-1].Session.LocalDate
	if usual < 1 {
		none := "without any"
		if usual > 0 {
			none = "with hardly any"
		}
		r.findOn(day, Soon, WeeklyJump, now, set.WeeklyJumpMin, "minutes of a week, pauses left out, after weeks with hardly any; "+noSource,
			"%.0f minutes in %s after %s %s", now, r.weeks[i].iso, count(len(before), "week"), none)
		return
	}
	r.findOn(day, Soon, WeeklyJump, jump, set.WeeklyJumpPct, "minutes of a week, pauses left out, over the mean of the four before, in percent; "+noSource,
		"%.0f minutes in %s after %.0f a week before: %.0f %% more", now, r.weeks[i].iso, usual, jump)
}

// minutes is what was trained in the week.
func (w *week) minutes() float64 {
	sum := 0.0
	for _, v := range w.sessions {
		sum += v.Session.TrainedS() / 60
	}
	return sum
}

// lookAtSilence asks whether the last session was too long ago, where any is
// due. The finding is dated by the day on which the silence became one, so that
// it stays the same from night to night.
func (r *review) lookAtSilence() {
	last, silent := r.silentSince()
	if !silent {
		return
	}
	limit := r.set.Findings.SilentDays
	r.findOn(last+calendar.Date(limit), Soon, SilentClient, float64(limit), float64(limit), "days without a session while sessions are prescribed; "+noSource,
		"no session since %s; %d days are the limit: make contact", last, limit)
}

// silentSince is the day of the last session, or the later one from which
// sessions were prescribed, for the first time or again after a time without,
// and whether that is too long ago for a client who is to train.
func (r *review) silentSince() (last calendar.Date, silent bool) {
	if n := len(r.sessions); n > 0 {
		last = r.sessions[n-1].Session.LocalDate
	}
	asked := func(day calendar.Date) bool { return len(r.practice.PrescriptionsOn(r.client.ID, day)) > 0 }
	rows := r.practice.PrescriptionsOf(r.client.ID)
	for _, row := range rows {
		if begins := row.EffectiveFrom; begins > last && begins <= r.asOf && !asked(begins-1) {
			last = begins
		}
	}
	due := asked(r.asOf) || len(rows) == 0
	return last, last > 0 && due && r.asOf-last >= calendar.Date(r.set.Findings.SilentDays)
}

// noteMedication says once that heart rate gives no verdict, at the latest
// session that has any.
func (r *review) noteMedication() {
	if !r.client.HRLimitingMedication {
		return
	}
	for i := len(r.sessions) - 1; i >= 0; i-- {
		if v := r.sessions[i]; v.Session.MeanHR != nil {
			r.findOn(v.Session.LocalDate, Note, NoHRVerdict, math.NaN(), math.NaN(),
				"clients.csv; Eston and Thompson 1997: such medication lowers maximal heart rate by 20 to 30 %",
				"medication limits heart rate: no verdict from heart rate; go by output and rated exertion")
			return
		}
	}
}
