package coach

import (
	"strings"
	"testing"

	"boutwise/metrics"
	"boutwise/pipeline/tables"
)

// TestStepsRestOnTheWorkAsked: weeks of training of which each looks well in
// some respect, and none of which is ground for harder work.
func TestStepsRestOnTheWorkAsked(t *testing.T) {
	base := prescribe(1, "base,2,40,,,")
	of := func(row string) config { return config{prescriptions: base + prescribe(1, row)} }
	four, twice, withBursts := of("intervals,1,45,4,180,180"), of("intervals,2,45,4,180,180"), of("base_with_bursts,1,40,5,60,60")
	bouts := func(kind metrics.SessionKind, n int, seconds float64) func(int, int) SessionView {
		return func(week, day int) SessionView { return session(week, day).withBouts(kind, n, seconds) }
	}
	brokenOff := bouts(metrics.Mixed, 1, 180)
	lastAt := func(v SessionView, pct float64) SessionView {
		return v.but(func(s *tables.Session) { s.LastToFirst = num(pct) })
	}
	rated := func(v SessionView, exertion float64) SessionView {
		return v.but(func(s *tables.Session) { s.RatedExertion = num(exertion) })
	}
	// weeks of base work with something on Wednesdays.
	weeks := func(n int, wednesday func(int, int) SessionView) []SessionView {
		return append(weekly(1, n, session, 0, 5), weekly(1, n, wednesday, 2)...)
	}
	with := func(all []SessionView, more ...SessionView) []SessionView { return append(all, more...) }

	tests := []struct {
		name     string
		config   config
		week     int // at the end of which is judged
		sessions []SessionView
		want     string
		reason   string
	}{
		{"four times three minutes where three times eight are asked", of("intervals,1,64,3,480,240"), 6, weeks(6, bouts(metrics.Intervals, 4, 180)), Hold, "bouts of 180 s, 480 s asked"},
		{"longer bouts than asked", four, 6, weeks(6, bouts(metrics.Intervals, 4, 240)), Hold, "bouts of 240 s, 180 s asked"},
		{"the last bout broken off", four, 4, with(weeks(3, intervals), session(4, 0), lastBoutOf(intervals(4, 2), 60), session(4, 5)), Hold, "3 of 4 rounds as long as asked"},
		{"the last bout at 80 % of the first", four, 4, with(weeks(3, intervals), session(4, 0), lastAt(intervals(4, 2), 80), session(4, 5)), Hold, "the last of 4 bouts at 80 % of the first"},
		{"bursts that fade", withBursts, 4, with(weeks(3, bursts), session(4, 0), lastAt(bursts(4, 2), 80), session(4, 5)), Hold, "the last of 5 bouts at 80 % of the first"},
		{"one good and one broken off a week, both asked for", twice, 6, with(weeks(6, intervals), weekly(1, 6, brokenOff, 6)...), Hold, "1 of 4 rounds"},
		{"one good and one broken off a week, one asked for", four, 6, with(weeks(6, intervals), weekly(1, 6, brokenOff, 6)...), Hold, "1 of 4 rounds"},
		{"one good and one ride over a hill a week", four, 6, with(weeks(6, intervals), weekly(1, 6, bouts(metrics.Mixed, 1, 300), 6)...), OneMoreRound, ""},
		{"the last two broken off", four, 5, with(weeks(3, intervals), session(4, 0), brokenOff(4, 2), session(4, 5), session(5, 0), brokenOff(5, 2), session(5, 5)), ShorterBouts, "not finished"},
		{"bursts broken off after two", withBursts, 4, with(weeks(3, bursts), session(4, 0), bouts(metrics.Mixed, 2, 60)(4, 2), session(4, 5)), Hold, "2 of 5 rounds"},
		{"base in the place of bursts", withBursts, 4, with(weeks(3, bursts), weekly(4, 4, session, 0, 2, 5)...), Hold, "0 of 5 rounds"},
		{"bursts before they were asked for", config{prescriptions: prescribe(1, "base,3,40,,,") + prescribe(3, "base_with_bursts,1,40,5,60,60")}, 4, with(weeks(4, bursts), weekly(3, 4, session, 6)...), Hold, "2 so far"},
		{"the first one broken off, all out", four, 1, with(weekly(1, 1, session, 0, 5), rated(brokenOff(1, 2), 10)), EaseBack, "Interval session 1 emptied"},
		{"one broken off, all out, after a long break", four, 8, with(weeks(3, intervals), with(weekly(4, 8, session, 0, 5), rated(brokenOff(8, 2), 10))...), EaseBack, "Interval session 1 emptied"},
		{"one broken off, all out, after the first three", four, 4, with(weeks(3, intervals), session(4, 0), rated(brokenOff(4, 2), 10), session(4, 5)), Hold, "rated 10 of 10"},
		{"base rated 10 without heart rate", config{prescriptions: prescribe(1, "base,3,30,,,")}, 4, weekly(1, 4, func(w, d int) SessionView { return rated(blind(session(w, d)), 10) }, 0, 2, 4), Hold, "no heart rate to compare: too hard, or unwell? No step until"},
		{"intervals that nobody asked for", config{prescriptions: prescribe(1, "base,3,40,,,")}, 4, with(weekly(1, 4, session, 0, 2, 4), weekly(1, 4, intervals, 1, 5)...), Hold, "More was done than asked: on " + on(4, 5).String() + ", 2 interval sessions in 2025-W13, 0 prescribed."},
		{"a heart rate above the measured maximum", config{prescriptions: prescribe(1, "base,3,40,,,")}, 4, with(weekly(1, 4, session, 0, 2), weekly(1, 4, func(w, d int) SessionView {
			return session(w, d).at(metrics.Count{Value: 110, Seconds: 2300}, metrics.Count{Value: 190, Seconds: 100})
		}, 4)...), Hold, "above the measured maximum of 180: sensor at fault, or a new maximum? No step until"},
		{"two a day apart", twice, 3, with(weeks(3, intervals), weekly(1, 3, intervals, 3)...), Hold, "Interval sessions lay too close together: on " + on(3, 3).String() + ", intervals 24 h after"},
		{"two evenings with a day between", twice, 3, with(weeks(3, intervals), weekly(1, 3, func(w, d int) SessionView {
			v := intervals(w, d)
			v.Session.StartedUTC = v.Session.StartedUTC.Add(-hoursOf(1.0 / 3))
			return v
		}, 4)...), OneMoreRound, ""},

		// What was not prescribed is not made up.
		{"no rounds prescribed", of("intervals,1,45,,180,180"), 6, weeks(6, intervals), Hold, "6 weeks with bouts of 180 s held evenly and recovered from. How many rounds is not prescribed"},
		{"no rounds prescribed, the last one broken off", of("intervals,1,45,,180,180"), 6, with(weeks(5, intervals), session(6, 0), brokenOff(6, 2), session(6, 5)), Hold, "mixed work"},
		{"no length prescribed", of("intervals,1,64,4,,180"), 6, weeks(6, intervals), OneMoreRound, "6 weeks with 4 rounds held"},
		{"no length prescribed, and 40 minutes of work", of("intervals,1,64,4,,180"), 6, weeks(6, bouts(metrics.Intervals, 4, 600)), Hold, "as far as they go"},
		{"no minutes of base prescribed", config{prescriptions: prescribe(1, "base,2,,,,")}, 3, weekly(1, 3, session, 0, 3), AnotherBaseDay, "3 weeks kept with 2 sessions, 2 due"},

		// What asks for less comes before what only forbids a step.
		{"an emptied tank beside base work rated hard", four, 1, []SessionView{rated(session(1, 0), 8), rated(intervals(1, 2), 9), session(1, 5)}, EaseBack, "emptied the tank"},
		{"two weeks missed beside base work rated hard", config{prescriptions: prescribe(1, "base,3,40,,,")}, 5, with(weekly(1, 2, session, 0, 2, 4), rated(session(5, 6), 8)), EaseBack, "not kept"},
		{"an emptied tank and an urgent finding", four, 1, []SessionView{session(1, 0), session(1, 5),
			rated(intervals(1, 2), 9).each(func(b *tables.Bout) { b.HRRecovery60, b.RecoveryOutput = num(8), num(0) })}, Hold, "The clinician decides"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := reviewed(t, tt.config, on(tt.week, 6), tt.sessions...).Progress[0]
			if got.Suggestion != tt.want || !strings.Contains(got.Reason, tt.reason) {
				t.Errorf("%s: %s\nwant %s: ... %s", got.Suggestion, got.Reason, tt.want, tt.reason)
			}
		})
	}
}

// TestHoldsThatAsk: a hold for what illness may explain says so; a hold for
// anything else does not.
func TestHoldsThatAsk(t *testing.T) {
	c := config{prescriptions: prescribe(1, "base,3,40,,,")}
	usual := weekly(1, 3, session, 0, 2, 4)
	tests := map[string]struct {
		last SessionView
		asks bool
	}{
		"base rated hard":        {session(4, 0).but(func(s *tables.Session) { s.RatedExertion = num(8) }), true},
		"less output":            {session(4, 0).but(func(s *tables.Session) { s.MeanPower = num(80) }), true},
		"in two clients' folder": {shared(session(4, 0), "c7"), false},
		"as usual":               {session(4, 0), false},
	}
	for name, tt := range tests {
		got := reviewed(t, c, on(4, 1), append(usual, tt.last)...).Progress[0]
		if got.Suggestion != Hold || strings.Contains(got.Caution, cautionEasier) != tt.asks {
			t.Errorf("%s: %s (%s), caution %q", name, got.Suggestion, got.Reason, got.Caution)
		}
	}
}

// TestSlowerSubmaximal: a client who moves slower is given more submaximal
// sessions at the start, too.
func TestSlowerSubmaximal(t *testing.T) {
	four := config{client: "c1,A,1950,female,no", prescriptions: prescribe(1, "base,2,40,,,") + prescribe(1, "intervals,1,45,4,180,180")}
	emptied := func(week int) []SessionView {
		return append(append(weekly(1, week, session, 0, 5), weekly(1, week-1, intervals, 2)...),
			intervals(week, 2).but(func(s *tables.Session) { s.RatedExertion = num(9) }))
	}
	// 1.5 times 3 sessions are 5.
	if got := reviewed(t, four, on(5, 6), emptied(5)...).Progress[0]; got.Suggestion != EaseBack || !strings.Contains(got.Reason, "The first 5 interval sessions are to stay submaximal") {
		t.Errorf("the fifth: %s, %s", got.Suggestion, got.Reason)
	}
	if got := reviewed(t, four, on(6, 6), emptied(6)...).Progress[0]; got.Suggestion != Hold {
		t.Errorf("the sixth: %s, %s", got.Suggestion, got.Reason)
	}
	four.client, four.settings = "", "[progress]\nsubmaximal_sessions = 1\n"
	if got := reviewed(t, four, on(1, 6), emptied(1)...).Progress[0]; got.Suggestion != EaseBack || !strings.Contains(got.Reason, "The first interval session is to stay submaximal.") {
		t.Errorf("the first of one: %s, %s", got.Suggestion, got.Reason)
	}
}

func TestApart(t *testing.T) {
	for _, tt := range []struct {
		a, b     float64
		decimals int
		x, y     string
	}{
		{26, 25, 0, "26", "25"},
		{25.3, 25, 0, "25.3", "25.0"},
		{25.04, 25, 0, "25.04", "25.00"},
		{25, 25, 0, "25", "25"},
		{5.01, 5, 1, "5.01", "5.00"},
		{nan, 5, 0, "NaN", "5"},
	} {
		if x, y := apart(tt.a, tt.b, tt.decimals); x != tt.x || y != tt.y {
			t.Errorf("%v and %v: %s and %s", tt.a, tt.b, x, y)
		}
	}
}
