package coach

import (
	"slices"
	"strings"
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
			"20250303T180000Z base: minutes 40, asked 40: met; time at 132 bpm or above 0 %, asked at most 25 %: met",
			"20250307T180000Z base: minutes 40, asked 40: met; time at 132 bpm or above 0 %, asked at most 25 %: met",
			"20250305T180000Z intervals: minutes 45, asked 45: met; rounds 4, asked 4: met; bout length 180 s, asked 180 s: met; " +
				"bouts held evenly 100 %, asked at least 75 %: met; recovery length 100 % of what was due, asked at least 75 %: met; " +
				"recovery output 40 % of the bout's, asked at most 75 %: met",
		}},
		{"one still to come", programme, []SessionView{session(1, 0), long(intervals(1, 2))}, 6, []string{
			"20250303T180000Z base: minutes 40",
			"20250305T180000Z intervals: minutes 45",
			" base: still to come",
		}},
		{"one missed", programme, []SessionView{session(1, 0), long(intervals(1, 2))}, 7, []string{
			"20250303T180000Z base: minutes 40",
			"20250305T180000Z intervals: minutes 45",
			" base: missed",
		}},
		{"one more than asked for", programme, []SessionView{session(1, 0), session(1, 1), long(intervals(1, 2)), session(1, 4)}, 6, []string{
			"20250303T180000Z base: minutes 40",
			"20250304T180000Z base: minutes 40",
			"20250305T180000Z intervals: minutes 45",
			"20250307T180000Z not asked for",
		}},
		{"bursts in the place of base", programme, []SessionView{session(1, 0), bursts(1, 1), long(intervals(1, 2))}, 6, []string{
			"20250303T180000Z base: minutes 40",
			"20250305T180000Z intervals: minutes 45",
			"20250304T180000Z base: minutes 40",
		}},
		{"mixed work in the place of intervals", programme, []SessionView{session(1, 0), session(1, 1), mixed(1, 2)}, 6, []string{
			"20250303T180000Z base: minutes 40",
			"20250304T180000Z base: minutes 40",
			"20250305T180000Z intervals: minutes 45",
		}},
		{"nothing prescribed", config{}, []SessionView{session(1, 0)}, 6, []string{"20250303T180000Z not asked for"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := reviewed(t, tt.config, on(1, tt.asOf), tt.sessions...).Answers
			got = slices.DeleteFunc(got, func(a Answer) bool { return a.Monday != on(1, 0) })
			if len(got) != len(tt.want) {
				t.Fatalf("%d answers, want %d: %v", len(got), len(tt.want), got)
			}
			for i, a := range got {
				if line := a.SessionID + " " + a.String(); !strings.HasPrefix(line, tt.want[i]) {
					t.Errorf("got  %s\nwant %s", line, tt.want[i])
				}
			}
		})
	}
}

// TestChecks changes one respect of an interval session at a time and lists
// what is not met.
func TestChecks(t *testing.T) {
	full := func() SessionView {
		return intervals(1, 2).but(func(s *tables.Session) { s.DurationS, s.RecordedS = 2700, 1800 })
	}
	tests := []struct {
		name    string
		session SessionView
		want    string
	}{
		// The device may be stopped in recoveries: the whole time counts.
		{"as asked", full(), ""},
		{"40.4 of 45 minutes", full().but(func(s *tables.Session) { s.DurationS = 2424 }), "minutes"},
		{"40.5 of 45 minutes", full().but(func(s *tables.Session) { s.DurationS = 2430 }), ""},
		{"three rounds", threeOf(full()), "rounds"},
		{"bouts of 152 s", full().each(func(b *tables.Bout) { b.DurationS = 152 }), "bout length"},
		{"bouts of 153 s", full().each(func(b *tables.Bout) { b.DurationS = 153 }), ""},
		{"bouts of 208 s", full().each(func(b *tables.Bout) { b.DurationS = 208 }), "bout length"},
		{"half of them even", pace(full(), 2, metrics.Fade), "bouts held evenly"},
		{"pacing unknown", pace(full(), 4, ""), ""},
		{"recoveries of 134 s", full().each(func(b *tables.Bout) { b.Recovery = num(134) }), "recovery length"},
		{"recoveries at 80 %", full().each(func(b *tables.Bout) { b.RecoveryOutput = num(80) }), "recovery output"},
	}
	for _, tt := range tests {
		r := reviewed(t, config{prescriptions: prescribe(1, "intervals,1,45,4,180,180")}, on(1, 6), tt.session)
		var failed []string
		for _, c := range r.Answers[0].Checks {
			if !c.Met {
				failed = append(failed, c.What)
			}
		}
		if got := strings.Join(failed, ", "); got != tt.want {
			t.Errorf("%s: not met %q, want %q", tt.name, got, tt.want)
		}
		if met := r.Answers[0].Met(); met != (tt.want == "") {
			t.Errorf("%s: met %v", tt.name, met)
		}
	}
}

// threeOf leaves the last of four bouts out.
func threeOf(v SessionView) SessionView {
	v.Bouts = v.Bouts[:3]
	v.Session.Bouts = 3
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

// TestMidweekPrescription: one that begins on a Wednesday asks for nothing in
// that week.
func TestMidweekPrescription(t *testing.T) {
	c := config{prescriptions: "c1," + on(1, 2).String() + ",base,3,40,,,\n"}
	got := reviewed(t, c, on(2, 6), session(1, 0)).Weeks
	if got[0].Prescribed != nil || got[1].Prescribed == nil || *got[1].Prescribed != 3 {
		t.Errorf("%+v", got)
	}
}
