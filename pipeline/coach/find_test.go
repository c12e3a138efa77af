package coach

import (
	"testing"

	"boutwise/metrics"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/tables"
)

func intervals(week, weekday int) SessionView {
	return session(week, weekday).withBouts(metrics.Intervals, 4, 180)
}

func bursts(week, weekday int) SessionView {
	return session(week, weekday).withBouts(metrics.BaseWithBursts, 5, 60)
}

// pace gives the first n bouts a pacing.
func pace(v SessionView, n int, pacing metrics.Pacing) SessionView {
	i := 0
	return v.each(func(b *tables.Bout) {
		if i < n {
			b.Pacing = string(pacing)
		}
		i++
	})
}

// TestSessionFindings gives one session at a time, on either side of a limit.
func TestSessionFindings(t *testing.T) {
	medicated := config{client: "c1,A,1980,female,yes"}
	estimated := config{measurements: "c1,2025-01-01,resting_hr_bpm,60\n"}
	recoveries := func(length, output float64) SessionView {
		return intervals(1, 2).each(func(b *tables.Bout) { b.Recovery, b.RecoveryOutput = num(length), num(output) })
	}
	still := func(fall, peak float64) SessionView {
		return intervals(1, 2).each(func(b *tables.Bout) { b.HRRecovery60, b.PeakHR, b.RecoveryOutput = num(fall), num(peak), num(0) })
	}
	tests := []struct {
		name     string
		config   config
		session  SessionView
		want     string // the finding above a note that is expected, "" for none
		severity string
	}{
		{"a well-held session", config{}, intervals(1, 2), "", ""},
		{"a well-held session with bursts", config{}, bursts(1, 2), "", ""},
		{"an easy base session", config{}, session(1, 2), "", ""},

		{"two of four bouts begun too fast", config{}, pace(intervals(1, 2), 2, metrics.FastStart), FastStart, Soon},
		{"one of four bouts begun too fast", config{}, pace(intervals(1, 2), 1, metrics.FastStart), "", ""},
		{"three of five bursts begun too fast", config{}, pace(bursts(1, 2), 3, metrics.FastStart), FastStart, Soon},
		{"a fast start explains fading", config{}, pace(intervals(1, 2), 4, metrics.FastStart).but(func(s *tables.Session) { s.LastToFirst = num(85) }), FastStart, Soon},
		{"last bout at 93.9 % of the first", config{}, intervals(1, 2).but(func(s *tables.Session) { s.LastToFirst = num(93.9) }), Faded, Soon},
		{"last bout at 94 % of the first", config{}, intervals(1, 2).but(func(s *tables.Session) { s.LastToFirst = num(94) }), "", ""},
		{"a longer last bout is no fading", config{}, lastBoutOf(intervals(1, 2), 300).but(func(s *tables.Session) { s.LastToFirst = num(80) }), "", ""},
		{"half of the bouts fade", config{}, pace(intervals(1, 2), 2, metrics.Fade), Faded, Soon},
		{"one of four bouts fades", config{}, pace(intervals(1, 2), 1, metrics.Fade), "", ""},
		{"one of four bouts is uneven", config{}, pace(intervals(1, 2), 1, metrics.Uneven), "", ""},
		{"half of the bouts are uneven", config{}, pace(intervals(1, 2), 2, metrics.Uneven), Uneven, Soon},
		{"bouts that build are well held", config{}, pace(intervals(1, 2), 4, metrics.Build), "", ""},
		{"pacing known of one bout only", config{}, pace(pace(intervals(1, 2), 4, ""), 1, metrics.FastStart), "", ""},
		{"a possible bout is not counted", config{}, pace(intervals(1, 2), 2, metrics.FastStart).each(func(b *tables.Bout) {
			if b.Bout < 3 {
				b.Confidence = "possible"
			}
		}), "", ""},

		{"recoveries at 74 % of the bout", config{}, recoveries(133, 40), RecoveryShort, Soon},
		{"recoveries at 75 % of the bout", config{}, recoveries(135, 40), "", ""},
		{"recoveries of what was prescribed", config{prescriptions: prescribe(1, "intervals,1,45,4,180,100")}, recoveries(100, 40), "", ""},
		{"recoveries below what was prescribed", config{prescriptions: prescribe(1, "intervals,1,45,4,180,300")}, recoveries(180, 40), RecoveryShort, Soon},
		{"recoveries at 76 % of the output", config{}, recoveries(180, 76), RecoveryHard, Soon},
		{"recoveries at 75 % of the output", config{}, recoveries(180, 75), "", ""},
		{"recoveries without an output", config{}, recoveries(180, nan), "", ""},

		// Cole et al. 1999: 12 bpm or less. Hard is 85 % of 180: 153 bpm.
		{"heart rate falls by 12 standing still", config{}, still(12, 153), LowHRRecovery, Urgent},
		{"heart rate falls by 12 standing still, maximum estimated", estimated, still(12, 160), LowHRRecovery, Soon},
		{"heart rate falls by 13 standing still", config{}, still(13, 153), "", ""},
		{"heart rate falls by 12 after easy bouts", config{}, still(12, 152), "", ""},
		{"heart rate falls by 12 walking on", config{}, still(12, 153).each(func(b *tables.Bout) { b.RecoveryOutput = num(11) }), "", ""},
		{"heart rate falls by 12 once", config{}, onlyFirst(still(12, 153), func(b *tables.Bout) { b.HRRecovery60 = nil }), "", ""},
		{"heart rate falls by 12 on medication", medicated, still(12, 153), "", ""},

		// Vigorous begins at 132 bpm.
		{"26 % of base at 132 bpm", config{}, session(1, 2).at(metrics.Count{Value: 131, Seconds: 740}, metrics.Count{Value: 132, Seconds: 260}), BaseAboveBand, Soon},
		{"25 % of base at 132 bpm", config{}, session(1, 2).at(metrics.Count{Value: 131, Seconds: 750}, metrics.Count{Value: 132, Seconds: 250}), "", ""},
		{"all of base at 150 bpm on medication", medicated, session(1, 2).at(metrics.Count{Value: 150, Seconds: 1000}), "", ""},
		{"all of base at 150 bpm with a flaky sensor", config{}, session(1, 2).at(metrics.Count{Value: 150, Seconds: 1000}).but(func(s *tables.Session) { s.HRCoverage = 50 }), SensorTrouble, Soon},
		{"what may hold bouts is no base session", config{}, session(1, 2).at(metrics.Count{Value: 150, Seconds: 1000}).but(func(s *tables.Session) { s.PossibleBouts = 1 }), "", ""},

		{"10 s at 185 bpm", config{}, intervals(1, 2).at(metrics.Count{Value: 150, Seconds: 1000}, metrics.Count{Value: 185, Seconds: 10}), AboveMaxHR, Soon},
		{"9 s at 185 bpm", config{}, intervals(1, 2).at(metrics.Count{Value: 150, Seconds: 1000}, metrics.Count{Value: 185, Seconds: 9}), "", ""},
		{"a minute at 184 bpm", config{}, intervals(1, 2).at(metrics.Count{Value: 150, Seconds: 1000}, metrics.Count{Value: 184, Seconds: 60}), "", ""},
		{"a minute above an estimated maximum", estimated, intervals(1, 2).at(metrics.Count{Value: 150, Seconds: 1000}, metrics.Count{Value: 195, Seconds: 60}), "", ""},

		{"heart rate in 79 % of seconds", config{}, session(1, 2).but(func(s *tables.Session) { s.HRCoverage = 79 }), SensorTrouble, Soon},
		{"heart rate in 80 % of seconds", config{}, session(1, 2).but(func(s *tables.Session) { s.HRCoverage = 80 }), "", ""},
		{"no sensor at all", config{}, session(1, 2).at().but(func(s *tables.Session) { s.HRCoverage, s.MeanHR = 0, nil }), "", ""},
		{"121 of 2400 samples repaired", config{}, session(1, 2).but(func(s *tables.Session) { s.HRRepaired = 121 }), SensorTrouble, Soon},
		{"120 of 2400 samples repaired", config{}, session(1, 2).but(func(s *tables.Session) { s.HRRepaired = 120 }), "", ""},
		{"half the seconds equal the cadence", config{}, locked(session(1, 2), 50), SensorTrouble, Soon},
		{"49.9 % of the seconds equal the cadence", config{}, locked(session(1, 2), 49.9), "", ""},
		{"power in 79 % of seconds", config{}, session(1, 2).but(func(s *tables.Session) { s.PowerCoverage = 79 }), SensorTrouble, Soon},

		{"power in 80 % of seconds", config{}, session(1, 2).but(func(s *tables.Session) { s.PowerCoverage = 80 }), "", ""},
		{"an export in another's folder too", config{}, shared(session(1, 2), "c7"), SharedExport, Soon},
		{"easy base rated 7", config{}, session(1, 2).but(func(s *tables.Session) { s.RatedExertion = num(7) }), ExertionHigh, Soon},
		{"easy base rated 6", config{}, session(1, 2).but(func(s *tables.Session) { s.RatedExertion = num(6) }), "", ""},
		{"base rated 7 on medication", medicated, session(1, 2).but(func(s *tables.Session) { s.RatedExertion = num(7) }), ExertionHigh, Soon},
		{"intervals rated 9", config{}, intervals(1, 2).but(func(s *tables.Session) { s.RatedExertion = num(9) }), "", ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var got []tables.Finding
			for _, f := range reviewed(t, tt.config, on(1, 3), tt.session).Findings {
				if f.Severity != Note {
					got = append(got, f)
				}
			}
			switch {
			case tt.want == "" && len(got) > 0:
				t.Errorf("found %s: %s", got[0].Finding, got[0].Message)
			case tt.want == "":
			case len(got) != 1 || got[0].Finding != tt.want || got[0].Severity != tt.severity:
				t.Errorf("found %+v, want one %s, %s", got, tt.want, tt.severity)
			case got[0].Message == "" || got[0].Method == "" || got[0].Value == nil || got[0].Limit == nil:
				t.Errorf("no evidence: %+v", got[0])
			case got[0].SessionID != tt.session.Session.SessionID || got[0].Date != tt.session.Session.LocalDate:
				t.Errorf("about another session: %+v", got[0])
			}
		})
	}
}

// lastBoutOf gives the last bout another length.
func lastBoutOf(v SessionView, seconds float64) SessionView {
	return v.each(func(b *tables.Bout) {
		if int(b.Bout) == len(v.Bouts) {
			b.DurationS = seconds
		}
	})
}

// onlyFirst changes all bouts but the first.
func onlyFirst(v SessionView, change func(*tables.Bout)) SessionView {
	return v.each(func(b *tables.Bout) {
		if b.Bout > 1 {
			change(b)
		}
	})
}

func shared(v SessionView, with ...string) SessionView {
	v.SharedWith = with
	return v
}

func locked(v SessionView, pct float64) SessionView {
	v.CadenceLockPct = pct
	return v
}

// TestNotes: what is said for the record only.
func TestNotes(t *testing.T) {
	easy := intervals(1, 2).but(func(s *tables.Session) { s.RatedExertion = num(3) }).each(func(b *tables.Bout) { b.NearMaxHR = num(15) })
	got := reviewed(t, config{}, on(1, 3), easy).named(ExertionLow)
	if len(got) != 1 || got[0].Severity != Note {
		t.Errorf("4 times 15 s near the maximum rated 3: %+v", got)
	}
	if got := reviewed(t, config{}, on(1, 3), easy.but(func(s *tables.Session) { s.RatedExertion = num(4) })).named(ExertionLow); len(got) != 0 {
		t.Errorf("rated 4: %+v", got)
	}
	less := easy.each(func(b *tables.Bout) { b.NearMaxHR = num(14) })
	if got := reviewed(t, config{}, on(1, 3), less).named(ExertionLow); len(got) != 0 {
		t.Errorf("4 times 14 s near the maximum rated 3: %+v", got)
	}
	medicated := config{client: "c1,A,1980,female,yes"}
	unmeasured := session(1, 3).at().but(func(s *tables.Session) { s.HRCoverage, s.MeanHR = 0, nil })
	got = reviewed(t, medicated, on(2, 3), session(1, 1), session(1, 2), unmeasured).named(NoHRVerdict)
	if len(got) != 1 || got[0].Severity != Note || got[0].Date != on(1, 2) {
		t.Errorf("on medication: %+v, want one note on %s", got, on(1, 2))
	}
	if got := reviewed(t, medicated, on(1, 3), unmeasured).named(NoHRVerdict); len(got) != 0 {
		t.Errorf("on medication without any heart rate: %+v", got)
	}
}

func TestGaps(t *testing.T) {
	hours := func(h float64) SessionView {
		v := intervals(1, 4)
		v.Session.StartedUTC = intervals(1, 1).Session.StartedUTC.Add(hoursOf(h))
		v.Session.LocalDate = on(1, 1+int(h)/24)
		return v
	}
	if got := reviewed(t, config{}, on(1, 6), intervals(1, 1), hours(48)).named(TooClose); len(got) != 0 {
		t.Errorf("48 h: %+v", got)
	}
	got := reviewed(t, config{}, on(1, 6), intervals(1, 1), hours(47)).named(TooClose)
	if len(got) != 1 || *got[0].Value != 47 || got[0].Date != on(1, 2) {
		t.Errorf("47 h: %+v", got)
	}
	// A base session in between does not come into it.
	if got := reviewed(t, config{}, on(1, 6), intervals(1, 1), session(1, 2), intervals(1, 2)).named(TooClose); len(got) != 1 {
		t.Errorf("on two days running: %+v", got)
	}
}

func TestIntervalCount(t *testing.T) {
	once := config{prescriptions: prescribe(1, "intervals,1,45,4,180,180")}
	tests := []struct {
		name     string
		sessions []SessionView
		asOf     int // weekday of week 1; 7 is the Monday after
		few      int
		many     int
	}{
		{"as prescribed", []SessionView{intervals(1, 1)}, 7, 0, 0},
		{"twice", []SessionView{intervals(1, 1), intervals(1, 4)}, 4, 0, 1},
		{"not yet", []SessionView{session(1, 1)}, 6, 0, 0},
		{"not at all", []SessionView{session(1, 1)}, 7, 1, 0},
	}
	for _, tt := range tests {
		r := reviewed(t, once, on(1, tt.asOf), tt.sessions...)
		if few, many := len(r.named(TooFewIntervals)), len(r.named(TooManyInterval)); few != tt.few || many != tt.many {
			t.Errorf("%s: %d too few, %d too many; want %d and %d", tt.name, few, many, tt.few, tt.many)
		}
	}
	if r := reviewed(t, config{}, on(1, 7), intervals(1, 1), intervals(1, 4)); len(r.named(TooManyInterval)) != 0 {
		t.Error("too many without a prescription")
	}
}

func TestWeeklyJump(t *testing.T) {
	long := func(minutes float64) SessionView {
		return session(5, 5).but(func(s *tables.Session) { s.RecordedS, s.DurationS = 60*minutes, 60*minutes })
	}
	before := weekly(1, 4, session, 0, 2, 4) // 120 minutes a week
	tests := []struct {
		name     string
		before   []SessionView
		minutes  float64
		expected int
	}{
		{"60 minutes more, half as much again", before, 180, 1},
		{"59 minutes more", before, 179, 0},
		{"60 minutes more on 160", weekly(1, 4, session, 0, 2, 4, 6), 220, 0},
		{"three times as much, 26 minutes", weekly(1, 4, func(w, d int) SessionView {
			return session(w, d).but(func(s *tables.Session) { s.RecordedS = 780 })
		}, 0), 39, 0},
		{"after two weeks only", weekly(3, 4, session, 0, 2, 4), 240, 0},
	}
	for _, tt := range tests {
		got := reviewed(t, config{}, on(5, 6), append(tt.before, long(tt.minutes))...).named(WeeklyJump)
		if len(got) != tt.expected {
			t.Errorf("%s: %+v", tt.name, got)
		}
	}
}

func TestSilence(t *testing.T) {
	asked := config{prescriptions: prescribe(1, "base,3,40,,,")}
	ended := config{prescriptions: prescribe(1, "base,3,40,,,") + prescribe(2, "base,0,,,,")}
	resumed := config{prescriptions: prescribe(1, "base,3,40,,,") + prescribe(2, "base,0,,,,") + prescribe(5, "base,3,40,,,")}
	changed := config{prescriptions: prescribe(1, "base,3,40,,,") + prescribe(2, "base,3,45,,,")}
	tests := []struct {
		name   string
		config config
		days   int
		want   calendar.Date // the finding's day; 0 for none
	}{
		{"9 days", asked, 9, 0},
		{"10 days", asked, 10, on(1, 10)},
		{"20 days", asked, 20, on(1, 10)},
		{"10 days without any prescription ever", config{}, 10, on(1, 10)},
		{"10 days after the programme ended", ended, 10, 0},
		{"9 days after the programme was taken up again", resumed, 37, 0},
		{"10 days after the programme was taken up again", resumed, 38, on(5, 10)},
		{"a change of the programme is no session", changed, 10, on(1, 10)},
	}
	for _, tt := range tests {
		got := reviewed(t, tt.config, on(1, tt.days), session(1, 0)).named(SilentClient)
		if tt.want == 0 && len(got) > 0 || tt.want > 0 && (len(got) != 1 || got[0].Date != tt.want) {
			t.Errorf("%s: %+v, want one on %s", tt.name, got, tt.want)
		}
	}
}

// walk is a base session on foot at one speed and a mean oxygen cost.
func walk(week, day int, cost float64) SessionView {
	return session(week, day).but(func(s *tables.Session) {
		s.Sport, s.OutputSignal, s.MeanPower, s.MeanSpeed, s.MeanOxygenCost = "walking", "oxygen_cost", nil, num(1.2), num(cost)
	})
}

// walks are n walks that cost 12.22 mL/kg/min above rest.
func walks(n int) (all []SessionView) {
	for i := range n {
		all = append(all, walk(1+i/3, 2*(i%3), 15.72))
	}
	return all
}

func TestOutputDrop(t *testing.T) {
	// 100 W at 50 bpm above rest, give or take a watt.
	usual := func(n int) []SessionView {
		var all []SessionView
		for i := range n {
			all = append(all, session(1+i/3, 2*(i%3)).but(func(s *tables.Session) { s.MeanPower = num(100 + float64(i%3-1)) }))
		}
		return all
	}
	now := func(watts float64) SessionView {
		return session(5, 0).but(func(s *tables.Session) { s.MeanPower = num(watts) })
	}
	medicated := config{client: "c1,A,1980,female,yes"}
	tests := []struct {
		name     string
		config   config
		sessions []SessionView
		want     int
	}{
		{"10.1 % less", config{}, append(usual(6), now(89.9)), 1},
		{"9.9 % less", config{}, append(usual(6), now(90.1)), 0},
		{"10.1 % less after five sessions", config{}, append(usual(5), now(89.9)), 0},
		{"10.1 % less in another sport", config{}, append(usual(6), now(89.9).but(func(s *tables.Session) { s.Sport = "rowing" })), 0},
		{"10.1 % less with a flaky sensor", config{}, append(usual(6), now(89.9).but(func(s *tables.Session) { s.HRCoverage = 70 })), 0},
		{"10.1 % less oxygen cost above rest on foot, at the same speed", config{}, append(walks(6), walk(5, 0, 14.485)), 1},
		{"9.9 % less oxygen cost above rest", config{}, append(walks(6), walk(5, 0, 14.515)), 0},
		{"10.1 % less on medication", medicated, append(usual(6), now(89.9)), 0},
	}
	for _, tt := range tests {
		if got := reviewed(t, tt.config, on(5, 1), tt.sessions...).named(OutputDrop); len(got) != tt.want {
			t.Errorf("%s: %+v", tt.name, got)
		}
	}
	// A history that varies by 5 W (median absolute deviation) is no evidence
	// against 10 W less: 10 < 4 · 1.4826 · 5.
	varied := usual(6)
	for i := range varied {
		varied[i] = varied[i].but(func(s *tables.Session) { s.MeanPower = num(100 + 5*float64(i%3-1)) })
	}
	if got := reviewed(t, config{}, on(5, 1), append(varied, now(88))...).named(OutputDrop); len(got) != 0 {
		t.Errorf("a varied history: %+v", got)
	}
}
