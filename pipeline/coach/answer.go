package coach

import (
	"fmt"
	"math"
	"strings"

	"boutwise/metrics"
	"boutwise/metrics/stats"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/practice"
)

// Answer is one session against one prescription of its week. A session that
// nobody asked for has no prescription, a prescription that was not answered
// has no session.
type Answer struct {
	Monday    calendar.Date
	SessionID string                 // "" when nothing answered (yet)
	Asked     *practice.Prescription // nil when nothing was asked for
	Checks    []Check
	Missed    bool // the week is over and no session answered
}

// Met tells a session that meets its prescription in every respect that could
// be judged.
func (a Answer) Met() bool {
	if a.SessionID == "" || a.Asked == nil {
		return false
	}
	for _, c := range a.Checks {
		if !c.Met {
			return false
		}
	}
	return true
}

// String says in words and numbers how the session stands to what was asked.
func (a Answer) String() string {
	switch {
	case a.Asked == nil:
		return "not asked for"
	case a.Missed:
		return string(a.Asked.Session) + ": missed"
	case a.SessionID == "":
		return string(a.Asked.Session) + ": still to come"
	}
	var parts []string
	for _, c := range a.Checks {
		parts = append(parts, c.String())
	}
	if len(parts) == 0 {
		return string(a.Asked.Session) + ": done"
	}
	return fmt.Sprintf("%s: %s", a.Asked.Session, strings.Join(parts, "; "))
}

// Check is one respect in which a session was held against its prescription.
type Check struct {
	What  string  // such as "rounds"
	Done  float64 // what was done
	Limit string  // what was asked for, in words, such as "at least 4"
	Unit  string
	Met   bool
}

// String is the check in words and numbers.
func (c Check) String() string {
	verdict := "met"
	if !c.Met {
		verdict = "not met"
	}
	return fmt.Sprintf("%s %.0f%s, asked %s: %s", c.What, c.Done, c.Unit, c.Limit, verdict)
}

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
func (r *review) answers() []Answer {
	var all []Answer
	for _, w := range r.weeks {
		all = append(all, w.answers...)
	}
	return all
}

// answer puts the week's sessions against its prescriptions. A prescription
// is answered by the first sessions of its kind; where these do not suffice,
// by sessions left over that come near to it.
func (r *review) answer(w week) []Answer {
	var all []Answer
	free := append([]*view(nil), w.sessions...)
	due := make([]int, len(w.asked))
	take := func(i int, fits func(*view, practice.SessionKind) bool) {
		asked := &w.asked[i]
		for k, v := range free {
			if due[i] > 0 && v != nil && fits(v, asked.Session) {
				all = append(all, Answer{Monday: w.monday, SessionID: v.Session.SessionID, Asked: asked, Checks: r.check(v, *asked)})
				free[k] = nil
				due[i]--
			}
		}
	}
	for i, a := range w.asked {
		due[i] = a.PerWeek
		take(i, sameKind)
	}
	for i := range w.asked {
		take(i, nearKind)
	}
	for i := range w.asked {
		for range due[i] {
			all = append(all, Answer{Monday: w.monday, Asked: &w.asked[i], Missed: w.over})
		}
	}
	for _, v := range free {
		if v != nil {
			all = append(all, Answer{Monday: w.monday, SessionID: v.Session.SessionID})
		}
	}
	return all
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

// check holds a session against what was asked for, in every respect that was
// asked for and could be measured.
func (r *review) check(v *view, asked practice.Prescription) []Check {
	var checks []Check
	add := func(what string, done float64, unit, limit string, met bool) {
		if !math.IsNaN(done) {
			checks = append(checks, Check{What: what, Done: done, Unit: unit, Limit: limit, Met: met})
		}
	}
	if !math.IsNaN(asked.Minutes) {
		add("minutes", v.minutes(), "", fmt.Sprintf("%.0f", asked.Minutes), v.minutes() >= minutesKeptShare*asked.Minutes)
	}
	if asked.Session == practice.Base {
		if pct, edge, ok := r.vigorousPct(v); ok {
			limit := r.set.Findings.BaseAbovePct
			add(fmt.Sprintf("time at %.0f bpm or above", edge), pct, " %", fmt.Sprintf("at most %.0f %%", limit), pct <= limit)
		}
		return checks
	}
	if asked.Rounds > 0 {
		done := len(v.confirmed)
		add("rounds", float64(done), "", fmt.Sprintf("%d", asked.Rounds), done >= asked.Rounds)
	}
	if !math.IsNaN(asked.WorkS) {
		length := v.medianLength()
		off := math.Abs(length - asked.WorkS)
		add("bout length", length, " s", fmt.Sprintf("%.0f s", asked.WorkS), off <= max(lengthToleranceS, lengthToleranceShare*asked.WorkS))
	}
	even, least := v.pacedPct(metrics.Even), r.set.Progress.EvenPct
	add("bouts held evenly", even, " %", fmt.Sprintf("at least %.0f %%", least), even >= least)
	lengths, outputs := v.recoveryPcts(asked.RecoveryS)
	length, output := stats.Median(lengths), stats.Median(outputs)
	short, hard := r.set.Findings.RecoveryShortPct, r.set.Findings.RecoveryHardPct
	add("recovery length", length, " % of what was due", fmt.Sprintf("at least %.0f %%", short), length >= short)
	add("recovery output", output, " % of the bout's", fmt.Sprintf("at most %.0f %%", hard), output <= hard)
	return checks
}
