package coach

import (
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

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
		{"base rated 7 without heart rate", config{}, blind(session(1, 2)).but(func(s *tables.Session) { s.RatedExertion = num(7) }), ExertionHigh, Soon},
		{"base rated 6 without heart rate", config{}, blind(session(1, 2)).but(func(s *tables.Session) { s.RatedExertion = num(6) }), "", ""},
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

// blind leaves the session without a heart-rate sensor.
func blind(v SessionView) SessionView {
	return v.at().but(func(s *tables.Session) { s.HRCoverage, s.MeanHR, s.HRDrift = 0, nil, nil })
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

// TestSparseRecording stands on both sides of the limit, a fifth of the time
// trained.
func TestSparseRecording(t *testing.T) {
	for _, tt := range []struct {
		silent float64
		want   int
	}{{0, 0}, {599, 0}, {600, 1}, {4000, 1}} {
		v := session(1, 2).but(func(s *tables.Session) { s.RecordedS, s.SilentS = 2400, tt.silent })
		if got := reviewed(t, config{}, on(1, 3), v).named(SparseRecording); len(got) != tt.want || tt.want > 0 && got[0].Severity != Note {
			t.Errorf("%g s of 2400 and these not written: %+v", tt.silent, got)
		}
	}
}

// A device whose clock was not set must not give the client decades of weeks,
// nor one that was started by mistake end a silence.
func TestSessionsThatDoNotCount(t *testing.T) {
	for name, change := range map[string]func(*tables.Session){
		"undated": func(s *tables.Session) {
			s.StartedUTC = time.Date(1989, 12, 31, 6, 0, 0, 0, time.UTC)
			s.LocalDate = calendar.DateOf(s.StartedUTC)
		},
		"59 s": func(s *tables.Session) { s.RecordedS = 59 },
	} {
		lost := session(3, 2).but(change)
		with, without := reviewed(t, config{}, on(3, 3), session(1, 1), lost), reviewed(t, config{}, on(3, 3), session(1, 1))
		if diff := cmp.Diff(without, with); diff != "" {
			t.Errorf("%s: the session changes the review: %s", name, diff)
		}
		if len(without.named(SilentClient)) == 0 {
			t.Error("no silence to end")
		}
	}
}
