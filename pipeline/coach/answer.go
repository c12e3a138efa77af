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

// lengthTolerance is how far off the length asked for a bout may be, in s.
func lengthTolerance(asked float64) float64 {
	return max(lengthToleranceS, lengthToleranceShare*asked)
}

// tooShort tells a bout that lasted less than was asked for; none where no
// length was.
func tooShort(seconds, asked float64) bool { return asked-seconds > lengthTolerance(asked) }

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
				v.answers = asked.Session
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
	return v.kind() == asked
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
		short = append(short, r.shortOfRounds(v, asked, p)...)
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
		done, due := apart(minutes, asked.Minutes, 0)
		return []string{fmt.Sprintf("%s of %s minutes", done, due)}
	}
	return nil
}

// shortOfEase tells base work that was not easy.
func (r *review) shortOfEase(v *view) []string {
	most := r.set.Findings.BaseAbovePct
	if pct, edge, ok := v.vigorousPct(); ok && pct > most {
		done, limit := apart(pct, most, 0)
		return []string{fmt.Sprintf("%s %% of the time at %.0f bpm or above, at most %s %% asked", done, edge, limit)}
	}
	return nil
}

// shortOfRounds tells what was not as asked in the bouts and between them.
func (r *review) shortOfRounds(v *view, asked *practice.Prescription, p pauses) (short []string) {
	add := func(format string, args ...any) { short = append(short, fmt.Sprintf(format, args...)) }
	fs := r.set.Findings
	rounds, length := len(v.confirmed), v.medianLength()
	if rounds < asked.Rounds {
		add("%d of %d rounds", rounds, asked.Rounds)
	}
	switch whole := v.roundsAsLong(asked.WorkS); {
	case math.Abs(length-asked.WorkS) > lengthTolerance(asked.WorkS):
		done, due := apart(length, asked.WorkS, 0)
		add("bouts of %s s, %s s asked", done, due)
	case rounds >= asked.Rounds && whole < asked.Rounds:
		add("%d of %d rounds as long as asked", whole, asked.Rounds)
	}
	if least := r.set.Progress.EvenPct; v.pacedPct(metrics.Even) < least {
		even, judged := v.paced(metrics.Even)
		add("%d of %d bouts held evenly, at least %.0f %% asked", even, judged, least)
	}
	if stats.Median(p.pcts) < fs.RecoveryShortPct {
		if recovery := stats.Median(p.lengths); math.IsNaN(asked.RecoveryS) {
			done, due := apart(recovery, length, 0)
			add("recoveries of %s s after bouts of %s s, as long is due", done, due)
		} else {
			done, due := apart(recovery, asked.RecoveryS, 0)
			add("recoveries of %s s, %s s asked", done, due)
		}
	}
	if output := stats.Median(p.outputs); output > fs.RecoveryHardPct {
		done, most := apart(output, fs.RecoveryHardPct, 0)
		add("recoveries at %s %% of the bout's output, at most %s %% asked", done, most)
	}
	return short
}
