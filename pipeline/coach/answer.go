package coach

import (
	"fmt"
	"math"
	"strings"

	"boutwise/metrics"
	"boutwise/metrics/stats"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/tables"
)

// The states of an answer.
const (
	Answered = "answered" // by a session
	Due      = "due"      // by none yet, and the week is not over
	Missed   = "missed"   // by none
	Extra    = "extra"    // a session that nobody asked for
)

// minutesKeptShare is the share of the prescribed minutes from which they
// count as kept: devices are started late and stopped early. Common practice,
// no source.
const minutesKeptShare = 0.9

// A bout has the prescribed length when it is off by no more than this share
// or these seconds: clients count with a clock on the wall. Common practice,
// no source.
const (
	lengthToleranceShare = 0.15
	lengthToleranceS     = 10
)

// answers gathers the answers of all weeks.
func (r *review) answers() []tables.Answer {
	n := 0
	for i := range r.weeks {
		n += len(r.weeks[i].answers)
	}
	all := make([]tables.Answer, 0, n)
	for i := range r.weeks {
		all = append(all, r.weeks[i].answers...)
	}
	return all
}

// answer puts the week's sessions against its prescriptions. A prescription
// is answered by the first sessions of its kind; where these do not suffice,
// by sessions left over that come near to it.
func (r *review) answer(w *week) {
	free := append([]*view(nil), w.sessions...)
	due := make([]int, len(w.asked))
	take := func(i int, fits func(*view, practice.SessionKind) bool) {
		asked := &w.asked[i]
		for k, v := range free {
			if due[i] > 0 && v != nil && fits(v, asked.Session) {
				w.take(r.answered(w, v, asked), r.longEnough(v, asked))
				free[k] = nil
				due[i]--
			}
		}
	}
	for i := range w.asked {
		due[i] = w.asked[i].PerWeek
		take(i, sameKind)
	}
	for i := range w.asked {
		take(i, nearKind)
	}
	for i := range w.asked {
		for range due[i] {
			w.answers = append(w.answers, r.unanswered(w, &w.asked[i]))
		}
	}
	for _, v := range free {
		if v != nil {
			w.answers = append(w.answers, r.answered(w, v, nil))
		}
	}
}

// take notes a session that answers a prescription.
func (w *week) take(row tables.Answer, longEnough bool) {
	w.answers = append(w.answers, row)
	if *row.Met {
		w.met++
	}
	if longEnough {
		w.kept++
	}
}

// sameKind tells a session of the kind asked for.
func sameKind(v *view, asked practice.SessionKind) bool {
	return v.Session.Kind == string(asked)
}

// nearKind tells a session that may have been meant to be of the kind asked
// for: base work with bursts or without, or work in bouts.
func nearKind(v *view, asked practice.SessionKind) bool {
	switch asked {
	case practice.Base, practice.BaseWithBursts:
		return v.isBase()
	case practice.Intervals:
		return v.kind() == metrics.Mixed
	}
	return false
}

// longEnough tells a session that counts towards a kept week. Minutes that
// were not stated are never too few.
func (r *review) longEnough(v *view, asked *practice.Prescription) bool {
	return !(100*v.minutes() < r.set.Progress.SessionKeptPct*asked.Minutes)
}

// unanswered is the row of a prescription that no session answers.
func (r *review) unanswered(w *week, asked *practice.Prescription) tables.Answer {
	row := r.blank(w, asked)
	row.State = Due
	if w.over {
		row.State, row.Met, row.Shortfall = Missed, new(bool), "no session"
	}
	return row
}

// blank is a row with nothing but what was asked for.
func (r *review) blank(w *week, asked *practice.Prescription) tables.Answer {
	row := tables.Answer{ClientID: r.client.ID, ISOWeek: w.iso, Monday: w.monday}
	if asked == nil {
		return row
	}
	row.Asked = string(asked.Session)
	row.MinutesAsked = tables.Num(asked.Minutes)
	row.BoutAsked, row.RecoveryAsked = tables.Num(asked.WorkS), tables.Num(asked.RecoveryS)
	if asked.Rounds > 0 {
		row.RoundsAsked = whole(asked.Rounds)
	}
	return row
}

// whole is a column's whole number.
func whole(n int) *int32 {
	v := int32(n)
	return &v
}

// answered holds a session against what was asked for, or where asked is nil
// only tells what was done.
func (r *review) answered(w *week, v *view, asked *practice.Prescription) tables.Answer {
	row := r.blank(w, asked)
	row.State, row.SessionID = Extra, v.Session.SessionID
	row.MinutesDone = tables.Num(v.minutes())
	if vigorous, total, ok := v.vigorousS(); ok {
		if v.isBase() {
			vigorous = total - vigorous
		}
		row.BandMinutes = tables.Num(float64(vigorous) / 60)
	}
	inBouts := len(v.confirmed) > 0 || asked != nil && asked.Session != practice.Base
	var p pauses
	if inBouts {
		p = v.pausesAgainst(tables.Value(row.RecoveryAsked))
		even, judged := v.paced(metrics.Even)
		row.RoundsDone, row.EvenBouts, row.JudgedBouts = whole(len(v.confirmed)), whole(even), whole(judged)
		row.BoutDone = tables.Num(v.medianLength())
		row.RecoveryDone, row.RecoveryOutput = tables.Num(stats.Median(p.lengths)), tables.Num(stats.Median(p.outputs))
	}
	if asked == nil {
		return row
	}
	short := r.shortOfSession(v, asked)
	if asked.Session == practice.Base {
		short = append(short, r.shortOfEase(v)...)
	} else {
		short = append(short, r.shortOfRounds(&row, v, p)...)
	}
	met := len(short) == 0
	row.State, row.Met, row.Shortfall = Answered, &met, strings.Join(short, "; ")
	return row
}

// The shortfalls below are in words and numbers. What was not asked for or
// could not be measured is NaN, which compares false: it never falls short.

// shortOfSession tells too short a session.
func (r *review) shortOfSession(v *view, asked *practice.Prescription) []string {
	if minutes := v.minutes(); minutes < minutesKeptShare*asked.Minutes {
		return []string{fmt.Sprintf("%.0f of %.0f minutes", minutes, asked.Minutes)}
	}
	return nil
}

// shortOfEase tells base work that was not easy.
func (r *review) shortOfEase(v *view) []string {
	most := r.set.Findings.BaseAbovePct
	if pct, edge, ok := v.vigorousPct(); ok && pct > most {
		return []string{fmt.Sprintf("%.0f %% of the time at %.0f bpm or above, at most %.0f %% asked", pct, edge, most)}
	}
	return nil
}

// shortOfRounds tells what was not as asked in the bouts and between them.
func (r *review) shortOfRounds(row *tables.Answer, v *view, p pauses) (short []string) {
	add := func(format string, args ...any) { short = append(short, fmt.Sprintf(format, args...)) }
	if row.RoundsAsked != nil && *row.RoundsDone < *row.RoundsAsked {
		add("%d of %d rounds", *row.RoundsDone, *row.RoundsAsked)
	}
	length, asked := tables.Value(row.BoutDone), tables.Value(row.BoutAsked)
	if math.Abs(length-asked) > max(lengthToleranceS, lengthToleranceShare*asked) {
		add("bouts of %.0f s, %.0f s asked", length, asked)
	}
	if least := r.set.Progress.EvenPct; v.pacedPct(metrics.Even) < least {
		add("%d of %d bouts held evenly, at least %.0f %% asked", *row.EvenBouts, *row.JudgedBouts, least)
	}
	if pct := stats.Median(p.pcts); pct < r.set.Findings.RecoveryShortPct {
		if row.RecoveryAsked != nil {
			add("recoveries of %.0f s, %.0f s asked", *row.RecoveryDone, *row.RecoveryAsked)
		} else {
			add("recoveries of %.0f s after bouts of %.0f s, as long is due", *row.RecoveryDone, length)
		}
	}
	if output, most := tables.Value(row.RecoveryOutput), r.set.Findings.RecoveryHardPct; output > most {
		add("recoveries at %.0f %% of the bout's output, at most %.0f %% asked", output, most)
	}
	return short
}
