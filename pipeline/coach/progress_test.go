package coach

import (
	"slices"
	"strings"
	"testing"

	"boutwise/metrics"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/tables"
)

// TestSuggestions tells a programme and what was done of it, and the step that
// is due at the end of a week.
func TestSuggestions(t *testing.T) {
	base3 := prescribe(1, "base,3,40,,,")
	withBursts := base3 + prescribe(1, "base_with_bursts,1,40,5,60,60")
	four := prescribe(1, "base,2,40,,,") + prescribe(1, "intervals,1,45,4,180,180")
	step := func(rounds string) string {
		return prescribe(1, "base,2,40,,,") + prescribe(1, "intervals,1,64,"+rounds)
	}
	old := "c1,A,1950,female,no"
	drifting := func(week, day int) SessionView {
		return session(week, day).but(func(s *tables.Session) { s.HRDrift = num(5.1) })
	}
	hot := func(week, day int) SessionView {
		return session(week, day).at(metrics.Count{Value: 140, Seconds: 2400})
	}
	uneven := func(week, day int) SessionView { return pace(intervals(week, day), 4, metrics.Uneven) }
	emptied := func(week, day int) SessionView {
		return intervals(week, day).but(func(s *tables.Session) { s.RatedExertion = num(9) })
	}
	rated := func(exertion float64) func(week, day int) SessionView {
		return func(week, day int) SessionView {
			return intervals(week, day).but(func(s *tables.Session) { s.RatedExertion = num(exertion) })
		}
	}
	short := func(minutes float64) func(week, day int) SessionView {
		return func(week, day int) SessionView {
			return session(week, day).but(func(s *tables.Session) { s.RecordedS, s.DurationS = 60*minutes, 60*minutes })
		}
	}
	fading := func(week, day int) SessionView {
		return intervals(week, day).but(func(s *tables.Session) { s.LastToFirst = num(92) })
	}
	many := func(rounds int) func(week, day int) SessionView {
		return func(week, day int) SessionView { return session(week, day).withBouts(metrics.Intervals, rounds, 180) }
	}
	long := func(week, day int) SessionView { return session(week, day).withBouts(metrics.Intervals, 8, 480) }
	months := func(n int, hard func(int, int) SessionView) []SessionView {
		return append(weekly(1, n, session, 0, 5), weekly(1, n, hard, 2)...)
	}

	tests := []struct {
		name     string
		config   config
		sessions []SessionView
		asOf     calendar.Date
		want     string
		reason   string // a piece of it
	}{
		{"nothing prescribed", config{}, weekly(1, 4, session, 0, 2, 4), on(4, 6), Hold, "Nothing is prescribed"},

		// Base: 4 kept weeks, 3 of them with 3 sessions.
		{"three weeks of base", config{prescriptions: base3}, weekly(1, 3, session, 0, 2, 4), on(3, 6), Hold, "3 weeks kept"},
		{"four weeks of base", config{prescriptions: base3}, weekly(1, 4, session, 0, 2, 4), on(4, 6), BeginBursts, "median heart-rate drift 2.0 % in 12 sessions"},
		{"the fourth week still under way", config{prescriptions: base3}, append(weekly(1, 3, session, 0, 2, 4), session(4, 0)), on(4, 1), Hold, "3 weeks kept"},
		{"one of three sessions missed", config{prescriptions: base3}, append(weekly(1, 3, session, 0, 2, 4), weekly(4, 4, session, 0, 2)...), on(5, 0), BeginBursts, ""},
		{"two of three sessions missed", config{prescriptions: base3}, append(weekly(1, 3, session, 0, 2, 4), session(4, 0)), on(5, 0), Hold, "last week was not kept"},
		{"four weeks at 75", config{client: old, prescriptions: base3}, weekly(1, 4, session, 0, 2, 4), on(4, 6), Hold, "Due before bursts: 6 weeks"},
		{"six weeks at 75", config{client: old, prescriptions: base3}, weekly(1, 6, session, 0, 2, 4), on(6, 6), BeginBursts, "This client moves slower"},
		{"four weeks with a low VO2max", config{measurements: facts + "c1,2025-01-01,vo2max_ml_kg_min,22\n", prescriptions: base3}, weekly(1, 4, session, 0, 2, 4), on(4, 6), Hold, "VO2max 22"},
		{"drift of 5.1 %", config{prescriptions: base3}, weekly(1, 4, drifting, 0, 2, 4), on(4, 6), Hold, "drifts by 5.1 %"},
		{"base too hard", config{prescriptions: base3}, weekly(1, 4, hot, 0, 2, 4), on(4, 6), Hold, "not easy yet"},
		{"base too hard three weeks ago", config{prescriptions: base3}, append(weekly(1, 1, hot, 0, 2, 4), weekly(2, 4, session, 0, 2, 4)...), on(4, 6), BeginBursts, ""},
		{"two sessions of 40 minutes for two weeks", config{prescriptions: prescribe(1, "base,2,40,,,")}, weekly(1, 2, session, 0, 3), on(2, 6), AnotherBaseDay, "2 weeks kept with 2 sessions"},
		{"two sessions of 40 minutes for one week", config{prescriptions: prescribe(1, "base,2,40,,,")}, weekly(1, 1, session, 0, 3), on(1, 6), Hold, ""},
		{"sessions of 30 minutes for two weeks", config{prescriptions: prescribe(1, "base,3,30,,,")}, weekly(1, 2, session, 0, 2, 4), on(2, 6), LongerBase, "2 weeks kept at 30 minutes"},
		{"a week missed, then kept for three", config{prescriptions: base3}, slices.Concat(weekly(1, 4, session, 0, 2, 4), weekly(6, 8, session, 0, 2, 4)), on(8, 6), Hold, "3 weeks kept"},
		{"sessions of 26 of 40 minutes", config{prescriptions: base3}, weekly(1, 4, short(26), 0, 2, 4), on(4, 6), EaseBack, "3 weeks in a row not kept"},
		{"sessions of 27 of 40 minutes", config{prescriptions: base3}, weekly(1, 4, short(27), 0, 2, 4), on(4, 6), BeginBursts, ""},
		{"sessions of 19 minutes as prescribed", config{prescriptions: prescribe(1, "base,3,19,,,")}, weekly(1, 6, short(19), 0, 2, 4), on(6, 6), LongerBase, ""},
		{"sessions of 19 minutes, no minutes prescribed", config{prescriptions: prescribe(1, "base,3,,,,")}, weekly(1, 6, short(19), 0, 2, 4), on(6, 6), Hold, "last 19 minutes"},
		{"sessions of 20 minutes, no minutes prescribed", config{prescriptions: prescribe(1, "base,3,,,,")}, weekly(1, 6, short(20), 0, 2, 4), on(6, 6), BeginBursts, ""},
		{"longer since last week", config{prescriptions: base3 + prescribe(4, "base,3,45,,,")}, weekly(1, 4, session, 0, 2, 4), on(4, 6), Hold, "changed 6 days ago, 14 are due"},
		{"longer since the week before", config{prescriptions: base3 + prescribe(3, "base,3,42,,,")}, weekly(1, 4, session, 0, 2, 4), on(4, 6), BeginBursts, ""},
		{"longer since the week before at 75", config{client: old, prescriptions: base3 + prescribe(5, "base,3,42,,,")}, weekly(1, 6, session, 0, 2, 4), on(6, 6), Hold, "changed 13 days ago, 21 are due"},
		{"a change next Monday", config{prescriptions: base3 + prescribe(5, "base_with_bursts,1,40,5,60,60")}, weekly(1, 4, session, 0, 2, 4), on(4, 6), Hold, "changes on " + on(5, 0).String() + " already"},
		{"a change in two weeks", config{prescriptions: base3 + prescribe(7, "base_with_bursts,1,40,5,60,60")}, weekly(1, 4, session, 0, 2, 4), on(4, 6), BeginBursts, ""},
		{"too many minutes this week", config{prescriptions: base3}, append(weekly(1, 5, session, 0, 2, 4), short(140)(5, 6)), on(5, 6), Hold, "Much more was done than in the weeks before"},
		{"changed this Wednesday", config{prescriptions: base3 + "c1," + on(4, 2).String() + ",base,3,45,,,\n"}, weekly(1, 4, session, 0, 2, 4), on(4, 6), Hold, "one step at a time"},

		// Bursts: 3 weeks held evenly and recovered from.
		{"two weeks with bursts", config{prescriptions: withBursts}, months(2, bursts), on(2, 6), Hold, "2 so far"},
		{"three weeks with bursts", config{prescriptions: withBursts}, months(3, bursts), on(3, 6), BeginIntervals, "4 rounds"},
		{"three weeks with bursts at 75", config{client: old, prescriptions: withBursts}, months(3, bursts), on(3, 6), Hold, "Due before intervals: 5 weeks in a row"},
		{"the last ones uneven", config{prescriptions: withBursts}, append(months(3, bursts), pace(bursts(4, 2), 2, metrics.Uneven)), on(4, 6), Hold, "3 of 5 bouts held evenly, at least 75 % asked, on " + on(4, 2).String()},
		{"the last ones without recovery", config{prescriptions: withBursts}, append(months(3, bursts), bursts(4, 2).each(func(b *tables.Bout) { b.Recovery = num(30) })), on(4, 6), Hold, "0 % of recoveries"},
		{"none in the week before last", config{prescriptions: withBursts}, slices.Concat(months(5, bursts)[:10], weekly(1, 3, bursts, 2), weekly(5, 5, bursts, 2)), on(5, 6), Hold, "1 so far (none in the week of " + on(4, 0).String()},
		{"none yet this week", config{prescriptions: withBursts}, append(months(3, bursts), session(4, 0)), on(4, 1), BeginIntervals, ""},
		{"base too hard beside them", config{prescriptions: withBursts}, append(months(3, bursts), hot(3, 6)), on(3, 6), Hold, "not easy yet"},
		{"evenness never judged", config{prescriptions: withBursts}, months(3, func(w, d int) SessionView { return pace(bursts(w, d), 5, "") }), on(3, 6), Hold, "could not be judged"},

		// Intervals: 3 weeks done as prescribed.
		{"two weeks of intervals", config{prescriptions: four}, months(2, intervals), on(2, 6), Hold, "2 so far"},
		{"three weeks of intervals", config{prescriptions: four}, months(3, intervals), on(3, 6), OneMoreRound, "3 weeks with 4 x 180 s"},
		{"three sessions in two weeks", config{prescriptions: prescribe(1, "base,2,40,,,") + prescribe(1, "intervals,2,45,4,180,180")}, append(months(2, intervals), intervals(2, 6)), on(2, 6), Hold, "2 so far"},
		{"five rounds asked, four done", config{prescriptions: step("5,180,180")}, months(3, intervals), on(3, 6), ShorterBouts, "not finished"},
		{"a second interval session in the last week", config{prescriptions: four}, append(months(3, intervals), intervals(3, 6)), on(3, 6), Hold, "More was done than asked"},
		{"three weeks at 75", config{client: old, prescriptions: four}, months(3, intervals), on(3, 6), Hold, "5 weeks in a row"},
		{"one week is enough, but not for the first three", config{settings: "[progress]\ninterval_weeks = 1\n", prescriptions: four}, months(2, intervals), on(2, 6), Hold, "2 interval sessions done"},
		{"one week is enough after the first three", config{settings: "[progress]\ninterval_weeks = 1\n", prescriptions: four}, months(3, intervals), on(3, 6), OneMoreRound, ""},
		{"seven rounds for three weeks", config{prescriptions: step("7,180,180")}, months(3, many(7)), on(3, 6), OneMoreRound, ""},
		{"eight rounds for three weeks", config{prescriptions: step("8,180,180")}, months(3, many(8)), on(3, 6), LongerBouts, "up to 480 s"},
		{"four rounds of eight minutes", config{prescriptions: step("4,480,240")}, months(3, func(w, d int) SessionView { return session(w, d).withBouts(metrics.Intervals, 4, 480) }), on(3, 6), OneMoreRound, ""},
		{"five rounds of eight minutes", config{prescriptions: step("5,480,240")}, months(3, func(w, d int) SessionView { return session(w, d).withBouts(metrics.Intervals, 5, 480) }), on(3, 6), Hold, "as far as they go"},
		{"eight rounds of 275 s", config{prescriptions: step("8,275,120")}, months(3, func(w, d int) SessionView { return session(w, d).withBouts(metrics.Intervals, 8, 275) }), on(3, 6), Hold, "as far as they go"},
		{"eight rounds of eight minutes", config{prescriptions: prescribe(1, "base,2,40,,,") + prescribe(1, "intervals,1,140,8,480,480")}, months(3, long), on(3, 6), Hold, "as far as they go"},
		{"the last ones uneven", config{prescriptions: four}, append(months(3, intervals), uneven(4, 2)), on(4, 6), Hold, "0 of 4 bouts held evenly"},
		{"the last two faded", config{prescriptions: four}, append(months(3, intervals), fading(4, 2), fading(5, 2)), on(5, 6), ShorterBouts, "faded"},
		{"only minutes changed", config{prescriptions: four + prescribe(3, "intervals,1,44,4,180,180")}, months(4, intervals), on(4, 6), OneMoreRound, "4 weeks with"},
		{"a round added two weeks ago", config{prescriptions: prescribe(1, "base,2,40,,,") + prescribe(1, "intervals,1,45,3,180,180") + prescribe(2, "intervals,1,45,4,180,180")}, months(3, intervals), on(3, 6), Hold, "2 so far"},

		// The first three interval sessions are to stay submaximal.
		{"the first one emptied the tank", config{prescriptions: four}, append(weekly(1, 1, session, 0, 5), emptied(1, 2)), on(1, 6), EaseBack, "rated 9 of 10"},
		{"the third one emptied the tank", config{prescriptions: four}, append(months(2, intervals), emptied(3, 2)), on(3, 6), EaseBack, "Interval session 3 emptied the tank"},
		{"the fourth one emptied the tank", config{prescriptions: four}, append(months(3, intervals), emptied(4, 2)), on(4, 6), Hold, "rated 9 of 10"},
		{"the fourth one rated 8 of 10", config{prescriptions: four}, append(months(3, intervals), rated(8)(4, 2), session(4, 0), session(4, 5)), on(4, 6), OneMoreRound, ""},
		{"a minute near the maximum in each of four bouts", config{prescriptions: four}, []SessionView{intervals(1, 2).each(func(b *tables.Bout) { b.NearMaxHR = num(60) })}, on(1, 6), EaseBack, "240 s near maximal"},
		{"the last bout at 90 % of the first", config{prescriptions: four}, []SessionView{intervals(1, 2).but(func(s *tables.Session) { s.LastToFirst = num(90) })}, on(1, 6), EaseBack, "last bout at 90 %"},

		{"emptied after four weeks without intervals", config{prescriptions: four}, slices.Concat(months(3, intervals), weekly(4, 7, session, 0, 5), []SessionView{emptied(7, 2)}), on(7, 6), Hold, "0 so far (rated 9"},
		{"emptied after more than that", config{prescriptions: four}, slices.Concat(months(3, intervals), weekly(4, 7, session, 0, 5), []SessionView{emptied(7, 3)}), on(7, 6), EaseBack, "Interval session 1 emptied the tank"},

		{"two weeks missed", config{prescriptions: base3}, append(weekly(1, 2, session, 0, 2, 4), session(4, 6)), on(5, 0), EaseBack, "2 weeks in a row not kept"},
		{"away for two weeks", config{prescriptions: base3}, weekly(1, 4, session, 0, 2, 4), on(6, 6), Hold, "make contact"},
		{"low heart-rate recovery", config{prescriptions: four}, append(months(2, intervals), intervals(3, 2).each(func(b *tables.Bout) { b.HRRecovery60, b.RecoveryOutput = num(10), num(0) })), on(3, 6), Hold, "The clinician decides"},
		{"low heart-rate recovery, maximum estimated", config{measurements: "c1,2025-01-01,resting_hr_bpm,60\n", prescriptions: four}, append(months(2, intervals), intervals(3, 2).each(func(b *tables.Bout) { b.HRRecovery60, b.RecoveryOutput = num(10), num(0) })), on(3, 6), Hold, "until it is explained"},
		{"base rated hard", config{prescriptions: base3}, append(weekly(1, 4, session, 0, 2), weekly(1, 4, func(w, d int) SessionView {
			return session(w, d).but(func(s *tables.Session) { s.RatedExertion = num(8) })
		}, 4)...), on(4, 6), Hold, "until it is explained"},

		{"a test of five weeks ago", config{measurements: facts + "c1," + on(1, 0).String() + ",critical_power_w,200\n", prescriptions: four}, months(5, intervals), on(6, 6), OneMoreRound, ""},
		{"a test of six weeks ago and no step due", config{measurements: facts + "c1," + on(-3, 0).String() + ",critical_power_w,200\n", prescriptions: four}, months(2, intervals), on(2, 6), Hold, "2 so far"},
		{"a test of six weeks ago", config{measurements: facts + "c1," + on(1, 0).String() + ",critical_power_w,200\n", prescriptions: four}, months(6, intervals), on(7, 0), RetestCapacity, "critical_power_w"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := reviewed(t, tt.config, tt.asOf, tt.sessions...).Progress[0]
			if got.Suggestion != tt.want || !strings.Contains(got.Reason+" "+got.Caution, tt.reason) {
				t.Errorf("%s: %s\nwant %s: ... %s", got.Suggestion, got.Reason, tt.want, tt.reason)
			}
			// Whatever asks for more carries the caution and defers to the
			// clinician; whatever does not, does not cry wolf.
			harder := slices.Contains([]string{LongerBase, AnotherBaseDay, BeginBursts, BeginIntervals, OneMoreRound, LongerBouts, RetestCapacity}, got.Suggestion)
			if harder != strings.Contains(got.Caution, cautionHarder) {
				t.Errorf("caution with %s: %s", got.Suggestion, got.Caution)
			}
		})
	}
}

func TestStages(t *testing.T) {
	tests := []struct{ name, prescriptions, want string }{
		{"base", prescribe(1, "base,3,40,,,"), "base"},
		{"bursts", prescribe(1, "base,3,40,,,") + prescribe(1, "base_with_bursts,1,40,5,60,60"), "base_with_bursts"},
		{"intervals", prescribe(1, "base_with_bursts,1,40,5,60,60") + prescribe(1, "intervals,1,45,4,180,180"), "intervals"},
		{"ended", prescribe(1, "base,3,40,,,") + prescribe(1, "intervals,1,45,4,180,180") + prescribe(2, "intervals,0,,,,"), "base"},
		{"to come", prescribe(1, "base,3,40,,,") + prescribe(3, "intervals,1,45,4,180,180"), "base"},
	}
	for _, tt := range tests {
		got := reviewed(t, config{prescriptions: tt.prescriptions}, on(2, 6), session(1, 0)).Progress[0]
		if got.Stage != tt.want {
			t.Errorf("%s: %s, want %s", tt.name, got.Stage, tt.want)
		}
	}
}

// TestMedicationCaution: whatever is suggested to a client on medication, the
// caution says that heart rate gives no verdict.
func TestMedicationCaution(t *testing.T) {
	c := config{client: "c1,A,1980,female,yes", prescriptions: prescribe(1, "base,3,40,,,")}
	hot := func(week, day int) SessionView {
		return session(week, day).at(metrics.Count{Value: 170, Seconds: 2400})
	}
	got := reviewed(t, c, on(4, 6), weekly(1, 4, hot, 0, 2, 4)...).Progress[0]
	if got.Suggestion != BeginBursts || !strings.Contains(got.Caution, cautionMedication) || !strings.Contains(got.Reason, "drift not judged") {
		t.Errorf("%s: %s", got.Suggestion, got.Reason)
	}
}
