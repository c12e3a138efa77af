package coach

import (
	"fmt"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"boutwise/metrics"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/tables"
)

// isStep tells a suggestion that asks for more.
func isStep(name string) bool { return suggestion{name: name}.harder() }

// TestProgrammeIsCautious lets a coach review on Monday mornings and follow
// every suggestion to the letter, with clients of all ages and weeks of all
// kinds, and holds each step against what practice would say.
func TestProgrammeIsCautious(t *testing.T) {
	dir := t.TempDir()
	const weeks = 26
	rapid.Check(t, func(t *rapid.T) {
		c := invented{dir: dir, age: rapid.IntRange(25, 85).Draw(t, "age")}
		now := programme{base: rapid.IntRange(2, 4).Draw(t, "base"), minutes: rapid.IntRange(4, 9).Draw(t, "minutes") * 5, rounds: 4, seconds: 180}
		c.prescribe(now, on(1, 0))
		var sessions []SessionView
		changed, wasStep, overdone := on(1, 0), false, -1
		for week := 1; week <= weeks; week++ {
			asked := now.base + now.bursts + now.intervals
			before := len(sessions)
			cut, spoilt := 0, 0
			sessions = append(sessions, now.week(week, func(kind metrics.SessionKind) fate {
				f := fateOf(t, "fate")
				if f == cutShort {
					cut++
				}
				if f.spoils() && kind != metrics.Base {
					spoilt++
				}
				return f
			})...)
			done := len(sessions) - before
			if rapid.IntRange(0, 9).Draw(t, "intervals besides") == 0 {
				sessions = append(sessions, intervals(week, 6))
			}
			if intervalSessions(sessions[before:]) > now.intervals {
				overdone = week
			}
			monday := on(week+1, 0)
			r := judged(c.practice(t), sessions, monday)
			checkWords(t, r)
			got := r.Progress[0]
			if isStep(got.Suggestion) {
				checkStep(t, week, got, r, stepFacts{
					done: done, cut: cut, asked: asked, spoilt: spoilt, overdone: overdone,
					intervals: intervalSessions(sessions), changed: changed, wasStep: wasStep, sessions: sessions,
				})
			}
			wasStep = isStep(got.Suggestion)
			if next := now.follow(got.Suggestion); next != now {
				c.prescribe(next, monday)
				now, changed = next, monday
			}
		}
	})
}

// history draws twelve weeks of sessions under one programme, some of them away
// in the middle.
func history(t *rapid.T) (programme, []SessionView) {
	p := programme{base: rapid.IntRange(1, 4).Draw(t, "base"), minutes: rapid.IntRange(4, 9).Draw(t, "minutes") * 5, rounds: rapid.IntRange(3, 8).Draw(t, "rounds"), seconds: 180}
	switch rapid.IntRange(0, 2).Draw(t, "stage") {
	case 1:
		p.bursts = 1
	case 2:
		p.intervals = 1
	}
	p.terse = rapid.IntRange(0, 3).Draw(t, "terse") == 0
	back := 3 + rapid.SampledFrom([]int{0, 0, 1, 2, 5}).Draw(t, "weeks away")
	var sessions []SessionView
	for week := 1; week <= 12; week++ {
		if week < 3 || week >= back {
			sessions = append(sessions, p.week(week, func(metrics.SessionKind) fate { return fateOf(t, "fate") })...)
		}
	}
	return p, sessions
}

// TestOlderMovesNoFaster: whatever the history, a step that is suggested to an
// older or less fit client is suggested to a younger and fitter one with the
// same history, too.
func TestOlderMovesNoFaster(t *testing.T) {
	dir := t.TempDir()
	steps := 0
	rapid.Check(t, func(t *rapid.T) {
		p, sessions := history(t)
		younger := rapid.IntRange(20, 85).Draw(t, "younger")
		older := rapid.IntRange(younger, 90).Draw(t, "older")
		less := rapid.Float64Range(12, 60).Draw(t, "less fit")
		more := rapid.Float64Range(less, 60).Draw(t, "fitter")
		of := func(age int, vo2max float64) *practice.Practice {
			c := invented{dir: dir, age: age, vo2max: vo2max}
			c.prescribe(p, on(1, 0))
			return c.practice(t)
		}
		young, old := of(younger, more), of(older, less)
		for week := 1; week <= 12; week++ {
			slow := judged(old, sessions, on(week+1, 0)).Progress[0]
			if !isStep(slow.Suggestion) {
				continue
			}
			steps++
			if fast := judged(young, sessions, on(week+1, 0)).Progress[0]; !isStep(fast.Suggestion) {
				t.Fatalf("week %d: at %d %s (%s), at %d %s (%s)", week, older, slow.Suggestion, slow.Reason, younger, fast.Suggestion, fast.Reason)
			}
		}
	})
	if steps == 0 {
		t.Error("no history led to a step: nothing was tested")
	}
}

// TestFindingsStand: what was found one night is found the next night just so,
// unless a session came, and what is new is dated no later than the night.
func TestFindingsStand(t *testing.T) {
	dir := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		c := invented{dir: dir, age: 50}
		programme, sessions := history(t)
		c.prescribe(programme, on(1, 0))
		p := c.practice(t)
		asOf := on(rapid.IntRange(1, 15).Draw(t, "week"), rapid.IntRange(0, 6).Draw(t, "day"))
		var seen []SessionView
		for _, v := range sessions {
			if v.Session.LocalDate <= asOf {
				seen = append(seen, v)
			}
		}
		today := judged(p, seen, asOf)
		checkWords(t, today)
		before, after := today.Findings, judged(p, seen, asOf+1).Findings
		for _, f := range before {
			if !containsEqual(after, f) {
				t.Fatalf("gone or changed after %s: %+v", asOf, f)
			}
		}
		for _, f := range after {
			if f.Date > asOf+1 {
				t.Fatalf("dated ahead of %s: %+v", asOf+1, f)
			}
		}
	})
}

func containsEqual(all []tables.Finding, f tables.Finding) bool {
	return slices.ContainsFunc(all, func(g tables.Finding) bool { return cmp.Equal(f, g) })
}

// TestWellBehavedClient follows a client without any fault for a year: the
// steps come in the order of the programme, an older client takes each later
// and the same ones, and nothing above a note fires.
func TestWellBehavedClient(t *testing.T) {
	tests := []struct {
		age  int
		want []string // steps by week
	}{
		{45, []string{
			"2 longer_base", "4 longer_base", "6 another_base_day", "9 begin_bursts", "12 begin_intervals",
			"15 one_more_round", "18 one_more_round", "21 one_more_round", "24 one_more_round", "27 longer_bouts", "30 longer_bouts",
		}},
		{75, []string{
			"3 longer_base", "6 longer_base", "9 another_base_day", "14 begin_bursts", "19 begin_intervals", "24 one_more_round", "29 one_more_round",
		}},
	}
	for _, tt := range tests {
		c := invented{dir: t.TempDir(), age: tt.age}
		now := programme{base: 2, minutes: 30, rounds: 4, seconds: 180}
		c.prescribe(now, on(1, 0))
		var sessions []SessionView
		var got []string
		for week := 1; week <= 30; week++ {
			sessions = append(sessions, now.week(week, func(metrics.SessionKind) fate { return asAsked })...)
			r := judged(c.practice(t), sessions, on(week+1, 0))
			for _, f := range r.Findings {
				if f.Severity != Note {
					t.Errorf("%d, week %d: %s: %s", tt.age, week, f.Finding, f.Message)
				}
			}
			if name := r.Progress[0].Suggestion; name != Hold {
				got = append(got, fmt.Sprintf("%d %s", week, name))
				now = now.follow(name)
				c.prescribe(now, on(week+1, 0))
			}
		}
		if diff := cmp.Diff(tt.want, got); diff != "" {
			t.Errorf("at %d:\n%s", tt.age, diff)
		}
	}
}

// TestAnswersAccountForEverything: whatever the history, every session stands
// in the answers once, every prescription as often as it is asked for, and the
// weeks count what the answers say.
func TestAnswersAccountForEverything(t *testing.T) {
	dir := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		c := invented{dir: dir, age: 50}
		p, sessions := history(t)
		c.prescribe(p, on(1, 0))
		if rapid.Bool().Draw(t, "changes in between") {
			c.prescribe(programme{base: 1, minutes: 30, rounds: 4, seconds: 180}, on(5, 2))
		}
		folder := c.practice(t)
		r := judged(folder, sessions, on(rapid.IntRange(12, 14).Draw(t, "week"), 6))

		seen := map[string]int{}
		asked, met := map[calendar.Date]map[string]int{}, map[calendar.Date]int32{}
		for _, a := range r.Answers {
			if a.SessionID != "" {
				seen[a.SessionID]++
			}
			if a.Met != nil && *a.Met {
				met[a.Monday]++
			}
			if asked[a.Monday] == nil {
				asked[a.Monday] = map[string]int{}
			}
			if a.Asked != "" {
				asked[a.Monday][a.Asked]++
			}
		}
		for _, v := range sessions {
			if n := seen[v.Session.SessionID]; n != 1 {
				t.Fatalf("session %s stands in %d answers", v.Session.SessionID, n)
			}
		}
		for _, w := range r.Weeks {
			for _, row := range folder.PrescriptionsOn("c1", w.Monday) {
				if n := asked[w.Monday][string(row.Session)]; n != row.PerWeek {
					t.Fatalf("%s: %d answers for %d sessions of %s", w.ISOWeek, n, row.PerWeek, row.Session)
				}
			}
			if w.Met != nil && *w.Met != met[w.Monday] {
				t.Fatalf("%s: the week counts %d met, its answers %d", w.ISOWeek, *w.Met, met[w.Monday])
			}
		}
	})
}
