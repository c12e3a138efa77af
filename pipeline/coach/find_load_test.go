package coach

import (
	"testing"

	"boutwise/pipeline/calendar"
	"boutwise/pipeline/tables"
)

func TestGaps(t *testing.T) {
	hours := func(h float64) SessionView {
		v := intervals(1, 4)
		v.Session.StartedUTC = intervals(1, 1).Session.StartedUTC.Add(hoursOf(h))
		v.Session.LocalDate = on(1, 1+int(h)/24)
		return v
	}
	// 48 h are due, a twelfth less is allowed: evenings come by no clock.
	for _, h := range []float64{48, 47.7, 43.5} {
		if got := reviewed(t, config{}, on(1, 6), intervals(1, 1), hours(h)).named(TooClose); len(got) != 0 {
			t.Errorf("%g h: %+v", h, got)
		}
	}
	got := reviewed(t, config{}, on(1, 6), intervals(1, 1), hours(43.4)).named(TooClose)
	if len(got) != 1 || *got[0].Value != 43 || *got[0].Limit != 44 || got[0].Date != on(1, 2) ||
		got[0].Message != "intervals 43 h after intervals on "+on(1, 1).String()+", 48 h are due" {
		t.Errorf("43.4 h: %+v", got)
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
	base := config{prescriptions: prescribe(1, "base,3,40,,,")}
	got := reviewed(t, base, on(1, 7), intervals(1, 1)).named(TooManyInterval)
	if len(got) != 1 || got[0].Message != "1 interval session in 2025-W10, 0 prescribed" || *got[0].Value != 1 || *got[0].Limit != 0 {
		t.Errorf("beside base work alone: %+v", got)
	}
	// What begins on a Wednesday asks for nothing in its week, but allows it.
	begun := config{prescriptions: prescribe(1, "base,3,40,,,") + "c1," + on(1, 2).String() + ",intervals,1,45,4,180,180\n"}
	if r := reviewed(t, begun, on(1, 7), intervals(1, 4)); len(r.named(TooManyInterval)) != 0 || len(r.named(TooFewIntervals)) != 0 {
		t.Errorf("begun within the week: %+v", r.Findings)
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

// TestJumpFromNothing: after idle weeks there is no percentage, and none is
// told.
func TestJumpFromNothing(t *testing.T) {
	of := func(minutes float64) func(int, int) SessionView {
		return func(week, day int) SessionView {
			return session(week, day).but(func(s *tables.Session) { s.RecordedS, s.DurationS = 60*minutes, 60*minutes })
		}
	}
	tests := []struct {
		name     string
		sessions []SessionView
		want     string
	}{
		{"two hours after four idle weeks", []SessionView{session(0, 0), of(120)(5, 5)}, "120 minutes in 2025-W14 after 4 weeks without any"},
		{"an hour less a minute", []SessionView{session(0, 0), of(59)(5, 5)}, ""},
		{"two hours after a walk to the bus", []SessionView{session(0, 0), of(3)(2, 0), of(120)(5, 5)}, "120 minutes in 2025-W14 after 4 weeks with hardly any"},
		{"a session of no length", []SessionView{session(0, 0), of(0)(5, 5)}, ""},
	}
	for _, tt := range tests {
		got := reviewed(t, config{}, on(5, 6), tt.sessions...).named(WeeklyJump)
		if len(got) > 1 || (len(got) == 1) != (tt.want != "") {
			t.Errorf("%s: %+v", tt.name, got)
			continue
		}
		if len(got) == 1 && (got[0].Message != tt.want || *got[0].Value != 120 || *got[0].Limit != 60) {
			t.Errorf("%s: %+v", tt.name, got[0])
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
