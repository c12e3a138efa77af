package coach

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"boutwise/metrics"
	"boutwise/pipeline/tables"
)

// TestAnswers puts a week's sessions against its prescriptions.
func TestAnswers(t *testing.T) {
	programme := config{prescriptions: prescribe(1, "base,2,40,,,") + prescribe(1, "intervals,1,45,4,180,180")}
	long := func(v SessionView) SessionView {
		return v.but(func(s *tables.Session) { s.DurationS, s.RecordedS = 2700, 2700 })
	}
	mixed := func(week, weekday int) SessionView {
		return long(session(week, weekday).withBouts(metrics.Mixed, 4, 180))
	}
	tests := []struct {
		name     string
		config   config
		sessions []SessionView
		asOf     int // weekday of week 1; 7 is the Monday after
		want     []string
	}{
		{"all done", programme, []SessionView{session(1, 0), long(intervals(1, 2)), session(1, 4)}, 6, []string{
			"base 20250303T180000Z answered", "base 20250307T180000Z answered", "intervals 20250305T180000Z answered",
		}},
		{"one still to come", programme, []SessionView{session(1, 0), long(intervals(1, 2))}, 6, []string{
			"base 20250303T180000Z answered", "intervals 20250305T180000Z answered", "base  due",
		}},
		{"one missed", programme, []SessionView{session(1, 0), long(intervals(1, 2))}, 7, []string{
			"base 20250303T180000Z answered", "intervals 20250305T180000Z answered", "base  missed: no session",
		}},
		{"one more than asked for", programme, []SessionView{session(1, 0), session(1, 1), long(intervals(1, 2)), session(1, 4)}, 6, []string{
			"base 20250303T180000Z answered", "base 20250304T180000Z answered", "intervals 20250305T180000Z answered", " 20250307T180000Z extra",
		}},
		{"bursts in the place of base", programme, []SessionView{session(1, 0), bursts(1, 1), long(intervals(1, 2))}, 6, []string{
			"base 20250303T180000Z answered", "intervals 20250305T180000Z answered", "base 20250304T180000Z answered",
		}},
		{"mixed work in the place of intervals", programme, []SessionView{session(1, 0), session(1, 1), mixed(1, 2)}, 6, []string{
			"base 20250303T180000Z answered", "base 20250304T180000Z answered", "intervals 20250305T180000Z answered",
		}},
		{"base work cannot take the place of intervals", programme, []SessionView{session(1, 0), session(1, 1), session(1, 2)}, 7, []string{
			"base 20250303T180000Z answered", "base 20250304T180000Z answered", "intervals  missed: no session", " 20250305T180000Z extra",
		}},
		{"nothing prescribed", config{}, []SessionView{session(1, 0)}, 6, []string{" 20250303T180000Z extra"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var got []string
			for _, a := range reviewed(t, tt.config, on(1, tt.asOf), tt.sessions...).Answers {
				if a.Monday != on(1, 0) {
					continue
				}
				line := a.Asked + " " + a.SessionID + " " + a.State
				if a.Shortfall != "" {
					line += ": " + a.Shortfall
				}
				got = append(got, line)
				// Whether it is met is known of every prescription but one still due.
				if known := a.State == Answered || a.State == Missed; known != (a.Met != nil) || known && *a.Met != (a.Shortfall == "") {
					t.Errorf("%s: met %v, shortfall %q", line, a.Met, a.Shortfall)
				}
			}
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// TestAnswerRow holds one row's figures against the session's.
func TestAnswerRow(t *testing.T) {
	counted := func(n int32) *int32 { return &n }
	met := true
	// At 60 to 180 bpm vigorous begins at 132 bpm.
	hard := pace(intervals(1, 2), 1, metrics.Fade).at(metrics.Count{Value: 120, Seconds: 1500}, metrics.Count{Value: 150, Seconds: 900}).
		each(func(b *tables.Bout) {
			b.DurationS, b.Recovery, b.RecoveryOutput = 175+float64(b.Bout), num(190), num(45)
		}).
		but(func(s *tables.Session) { s.DurationS = 2700 })
	got := reviewed(t, config{prescriptions: prescribe(1, "intervals,1,45,4,180,180")}, on(1, 6), hard).Answers
	want := []tables.Answer{{
		ClientID: "c1", ISOWeek: "2025-W10", Monday: on(1, 0), Asked: "intervals", SessionID: "20250305T180000Z", State: Answered, Met: &met,
		MinutesAsked: num(45), MinutesDone: num(45), RoundsAsked: counted(4), RoundsDone: counted(4), BoutAsked: num(180), BoutDone: num(177.5),
		EvenBouts: counted(3), JudgedBouts: counted(4), RecoveryAsked: num(180), RecoveryDone: num(190), RecoveryOutput: num(45), BandMinutes: num(15),
	}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	// Base work is meant to stay below vigorous, and has no rounds.
	base := session(1, 2).at(metrics.Count{Value: 120, Seconds: 1800}, metrics.Count{Value: 150, Seconds: 540})
	got = reviewed(t, config{prescriptions: prescribe(1, "base,1,40,,,")}, on(1, 6), base).Answers
	want = []tables.Answer{{
		ClientID: "c1", ISOWeek: "2025-W10", Monday: on(1, 0), Asked: "base", SessionID: "20250305T180000Z", State: Answered, Met: &met,
		MinutesAsked: num(40), MinutesDone: num(40), BandMinutes: num(30),
	}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

// TestShortfall changes one respect of a session at a time and tells what is
// not met, on either side of each limit.
func TestShortfall(t *testing.T) {
	full := func() SessionView {
		return intervals(1, 2).but(func(s *tables.Session) { s.DurationS, s.RecordedS = 2700, 1800 })
	}
	const rounds, openRounds, easy = "intervals,1,45,4,180,180", "intervals,1,45,4,180,", "base,1,40,,,"
	tests := []struct {
		name, asked string
		session     SessionView
		want        string
	}{
		// The device may be stopped in recoveries: the whole time counts.
		{"as asked", rounds, full(), ""},
		{"40.4 of 45 minutes", rounds, full().but(func(s *tables.Session) { s.DurationS = 2424 }), "40 of 45 minutes"},
		{"40.5 of 45 minutes", rounds, full().but(func(s *tables.Session) { s.DurationS = 2430 }), ""},
		{"three rounds", rounds, threeOf(full()), "3 of 4 rounds"},
		{"bouts of 152 s", rounds, full().each(func(b *tables.Bout) { b.DurationS = 152 }), "bouts of 152 s, 180 s asked"},
		{"bouts of 153 s", rounds, full().each(func(b *tables.Bout) { b.DurationS = 153 }), ""},
		{"bouts of 208 s", rounds, full().each(func(b *tables.Bout) { b.DurationS = 208 }), "bouts of 208 s, 180 s asked"},
		{"bouts of 207 s", rounds, full().each(func(b *tables.Bout) { b.DurationS = 207 }), ""},
		{"the last of four broken off", rounds, lastBoutOf(full(), 152), "3 of 4 rounds as long as asked"},
		{"the last of four hardly shorter", rounds, lastBoutOf(full(), 153), ""},
		{"a fifth round broken off", rounds, lastBoutOf(fiveOf(full()), 60), ""},
		{"half of them even", rounds, pace(full(), 2, metrics.Fade), "2 of 4 bouts held evenly, at least 75 % asked"},
		{"three of four even", rounds, pace(full(), 1, metrics.Fade), ""},
		{"pacing unknown", rounds, pace(full(), 4, ""), ""},
		{"recoveries of 134 s", rounds, full().each(func(b *tables.Bout) { b.Recovery = num(134) }), "recoveries of 134 s, 180 s asked"},
		{"recoveries of 135 s", rounds, full().each(func(b *tables.Bout) { b.Recovery = num(135) }), ""},
		{"recoveries of 134 s, none stated", openRounds, full().each(func(b *tables.Bout) { b.Recovery = num(134) }), "recoveries of 134 s after bouts of 180 s, as long is due"},
		{"recoveries at 76 %", rounds, full().each(func(b *tables.Bout) { b.RecoveryOutput = num(76) }), "recoveries at 76 % of the bout's output, at most 75 % asked"},
		{"recoveries at 75 %", rounds, full().each(func(b *tables.Bout) { b.RecoveryOutput = num(75) }), ""},
		{"no bout at all", rounds, session(1, 2).but(func(s *tables.Session) { s.Kind, s.RecordedS = string(metrics.Mixed), 2700 }), "0 of 4 rounds"},
		{"base a quarter of it vigorous", easy, session(1, 2).at(metrics.Count{Value: 131, Seconds: 750}, metrics.Count{Value: 132, Seconds: 250}), ""},
		{"base a hair more than a quarter vigorous", easy, session(1, 2).at(metrics.Count{Value: 131, Seconds: 748}, metrics.Count{Value: 132, Seconds: 252}), "25.2 % of the time at 132 bpm or above, at most 25.0 % asked"},
		{"base more than a quarter vigorous", easy, session(1, 2).at(metrics.Count{Value: 131, Seconds: 740}, metrics.Count{Value: 132, Seconds: 260}), "26 % of the time at 132 bpm or above, at most 25 % asked"},
		{"several at once", rounds, pace(threeOf(full()), 3, metrics.Fade), "3 of 4 rounds; 0 of 3 bouts held evenly, at least 75 % asked"},
	}
	for _, tt := range tests {
		a := reviewed(t, config{prescriptions: prescribe(1, tt.asked)}, on(1, 6), tt.session).Answers[0]
		if a.Shortfall != tt.want || *a.Met != (tt.want == "") {
			t.Errorf("%s: met %v, %q, want %q", tt.name, *a.Met, a.Shortfall, tt.want)
		}
	}
}

// threeOf leaves the last of four bouts out.
func threeOf(v SessionView) SessionView {
	v.Bouts = v.Bouts[:3]
	v.Session.Bouts = 3
	return v
}

// fiveOf makes five bouts of four.
func fiveOf(v SessionView) SessionView {
	last := v.Bouts[3]
	last.Bout = 5
	v.Bouts = append(v.Bouts, last)
	v.Session.Bouts = 5
	return v
}

func TestWeekRows(t *testing.T) {
	// At 60 to 180 bpm moderate begins at 108, vigorous at 132 bpm.
	base := session(1, 0).at(metrics.Count{Value: 100, Seconds: 600}, metrics.Count{Value: 110, Seconds: 1800}).
		but(func(s *tables.Session) { s.TrainingImpulse = num(40) })
	hard := intervals(1, 2).at(metrics.Count{Value: 120, Seconds: 1200}, metrics.Count{Value: 150, Seconds: 900}, metrics.Count{Value: 170, Seconds: 300})
	later := session(3, 0).at()
	c := config{prescriptions: prescribe(1, "base,2,40,,,") + prescribe(1, "intervals,1,45,4,180,180")}
	got := reviewed(t, c, on(4, 1), base, hard, later).Weeks
	counted := func(n int32) *int32 { return &n }
	want := []tables.Week{
		{
			ClientID: "c1", ISOWeek: "2025-W10", Monday: on(1, 0), Sessions: 2, Minutes: 80, BaseMinutes: 40, IntervalSessions: 1, Rounds: 4,
			ModerateMinutes: num(50), VigorousMinutes: num(20), ModerateEquivalent: num(90), TrainingImpulse: num(40),
			// The interval session lasted 40 of 45 minutes, too short by a hair.
			Prescribed: counted(3), Met: counted(1),
		},
		{ClientID: "c1", ISOWeek: "2025-W11", Monday: on(2, 0), Prescribed: counted(3), Met: counted(0)},
		{ClientID: "c1", ISOWeek: "2025-W12", Monday: on(3, 0), Sessions: 1, Minutes: 40, BaseMinutes: 40, Prescribed: counted(3), Met: counted(1)},
		{ClientID: "c1", ISOWeek: "2025-W13", Monday: on(4, 0), Prescribed: counted(3), Met: counted(0)},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

// TestWeeksWithoutVerdict: on medication, heart rate gives no minutes by
// category.
func TestWeeksWithoutVerdict(t *testing.T) {
	got := reviewed(t, config{client: "c1,A,1980,female,yes"}, on(1, 6), session(1, 0)).Weeks[0]
	if got.ModerateMinutes != nil || got.ModerateEquivalent != nil || got.Prescribed != nil || got.Met != nil {
		t.Errorf("%+v", got)
	}
}

// TestWeeksWithoutTrust: what rests on heart rate leaves out the sessions of a
// sensor that is not to be believed, and is missing where no other is left.
func TestWeeksWithoutTrust(t *testing.T) {
	estimated := config{measurements: "c1,2025-01-01,resting_hr_bpm,60\n"}
	flaky := func(day int) SessionView {
		return locked(session(1, day), 80).but(func(s *tables.Session) { s.TrainingImpulse = num(70) })
	}
	got := reviewed(t, estimated, on(1, 6), flaky(0)).Weeks[0]
	if got.ModerateMinutes != nil || got.VigorousMinutes != nil || got.ModerateEquivalent != nil || got.TrainingImpulse != nil || got.MaxHREstimated {
		t.Errorf("one distrusted session: %+v", got)
	}
	if got.Minutes != 40 || got.BaseMinutes != 40 || got.Sessions != 1 {
		t.Errorf("a distrusted sensor does not undo the training: %+v", got)
	}
	sound := session(1, 2).but(func(s *tables.Session) { s.TrainingImpulse = num(40) })
	got = reviewed(t, config{}, on(1, 6), flaky(0), sound).Weeks[0]
	if tables.Value(got.ModerateMinutes) != 40 || tables.Value(got.TrainingImpulse) != 40 || got.Minutes != 80 {
		t.Errorf("one of two distrusted: %+v", got)
	}
}

// TestMidweekPrescription: one that begins on a Wednesday asks for nothing in
// that week.
func TestMidweekPrescription(t *testing.T) {
	c := config{prescriptions: "c1," + on(1, 2).String() + ",base,3,40,,,\n"}
	got := reviewed(t, c, on(2, 6), session(1, 0)).Weeks
	if got[0].Prescribed != nil || got[1].Prescribed == nil || *got[1].Prescribed != 3 {
		t.Errorf("%+v", got)
	}
}
