package coach

import (
	"encoding/json"
	"fmt"
	"strings"

	"pgregory.net/rapid"

	"boutwise/metrics"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/tables"
)

// stepFacts is what a step is held against, counted without the program.
type stepFacts struct {
	done, cut, asked int // sessions of the week that ended
	spoilt           int // of those with bouts, likewise
	overdone         int // the last week with more interval sessions than were asked for
	intervals        int // sessions ever done
	changed          calendar.Date
	wasStep          bool // last week's suggestion was one, too
	sessions         []SessionView
}

func intervalSessions(all []SessionView) (n int) {
	for _, v := range all {
		if v.Session.Kind == string(metrics.Intervals) {
			n++
		}
	}
	return n
}

// checkStep holds a step against the cautions of the trade.
func checkStep(t *rapid.T, week int, got tables.Progress, r Result, f stepFacts) {
	fail := func(format string, args ...any) {
		t.Fatalf("week %d, %s (%s): %s", week, got.Suggestion, got.Reason, fmt.Sprintf(format, args...))
	}
	if f.wasStep {
		fail("a step last week, too")
	}
	if days := got.AsOf - f.changed; days < 14 && f.changed > on(1, 0) {
		fail("the programme changed %d days ago", days)
	}
	if kept := f.done - f.cut; 3*kept < 2*f.asked {
		fail("%d of %d sessions done in the week before", kept, f.asked)
	}
	if f.intervals < 3 && (got.Suggestion == OneMoreRound || got.Suggestion == LongerBouts) {
		fail("after %d interval sessions", f.intervals)
	}
	for _, finding := range r.Findings {
		recent := got.AsOf-finding.Date < 14
		if recent && (finding.Severity == Urgent || finding.Finding == BaseAboveBand) {
			fail("open: %s of %s", finding.Finding, finding.Date)
		}
	}
	if f.spoilt > 0 {
		fail("%d sessions with bouts of last week were not done as asked", f.spoilt)
	}
	if f.overdone > 0 && week-f.overdone < 2 {
		fail("intervals that nobody asked for in week %d", f.overdone)
	}
	for _, v := range f.sessions {
		if got.AsOf-v.Session.LocalDate < 14 && v.Session.Kind == string(metrics.Base) && tables.Value(v.Session.RatedExertion) == 10 {
			fail("base work of %s was rated 10 of 10", v.Session.LocalDate)
		}
	}
	if !strings.Contains(got.Caution, cautionHarder) {
		fail("no caution")
	}
}

// checkWords holds what a review says against what nobody may read: every
// finding has finite figures, and no sentence quotes what is no number.
func checkWords(t interface{ Fatalf(string, ...any) }, r Result) {
	unread := func(text string) bool {
		return strings.Contains(text, "NaN") || strings.Contains(text, "Inf") || strings.Contains(text, "%!") ||
			strings.Contains(text, "?.") || strings.Contains(text, "..") || strings.Contains(text, " 0 x ")
	}
	for _, f := range r.Findings {
		if unread(f.Message) || f.Finding != NoHRVerdict && (f.Value == nil || f.Limit == nil) {
			t.Fatalf("%s: %q, value %v, limit %v", f.Finding, f.Message, f.Value, f.Limit)
		}
	}
	for _, p := range r.Progress {
		if unread(p.Reason) || unread(p.Caution) {
			t.Fatalf("%s: %q, %q", p.Suggestion, p.Reason, p.Caution)
		}
	}
	for _, a := range r.Answers {
		if unread(a.Shortfall) {
			t.Fatalf("%s: %q", a.SessionID, a.Shortfall)
		}
	}
	if _, err := json.Marshal(r); err != nil {
		t.Fatalf("%v", err)
	}
}
