package metrics

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestBoutKind(t *testing.T) {
	tests := []struct {
		seconds float64
		want    BoutKind
	}{
		{20, Burst}, {60, Burst}, {114.9, Burst},
		// Two minutes and ten minutes, measured a little short or long.
		{115, Interval}, {118, Interval}, {120, Interval}, {480, Interval}, {601, Interval}, {605, Interval},
		{605.1, Block}, {1200, Block}, {math.NaN(), ""},
	}
	for _, test := range tests {
		if got := BoutKindOf(test.seconds, DefaultKindLimits()); got != test.want {
			t.Errorf("%v s: %q, want %q", test.seconds, got, test.want)
		}
	}
}

// rounds lays n bouts of some seconds from a start on, each with a recovery.
func rounds(n int, start, work, recovery float64) []Stretch {
	bouts := make([]Stretch, n)
	for i := range bouts {
		bouts[i] = Stretch{start, start + work}
		start += work + recovery
	}
	return bouts
}

func TestSessionKind(t *testing.T) {
	both := append(rounds(3, 600, 240, 240), rounds(5, 2400, 60, 60)...)
	brokenOff := append(rounds(3, 600, 240, 240), Stretch{2040, 2120})
	tests := []struct {
		name      string
		endurance bool
		seconds   float64
		moving    float64
		bouts     []Stretch
		want      SessionKind
	}{
		{"base", true, 3600, 3500, nil, Base},
		{"just long enough", true, 1300, 1200, nil, Base},
		{"too short", true, 1199, 1199, nil, Other},
		{"mostly stopped", true, 3600, 900, nil, Other},
		{"strength", false, 3600, 3600, nil, Other},
		{"strength with bouts", false, 3600, 3600, rounds(4, 600, 240, 240), Other},
		{"5 × 1 min at the end", true, 2700, 2700, rounds(5, 1800, 60, 60), BaseWithBursts},
		{"bursts from the middle on", true, 2700, 2700, rounds(5, 1350, 60, 60), BaseWithBursts},
		{"bursts from the start", true, 2700, 2700, rounds(5, 600, 60, 60), Mixed},
		{"two bursts show no design", true, 2700, 2700, rounds(2, 2000, 60, 60), Mixed},
		{"4 × 4 min", true, 2700, 2700, rounds(4, 600, 240, 240), Intervals},
		{"8 × 8 min", true, 9000, 9000, rounds(8, 600, 480, 480), Intervals},
		{"two of 10 min", true, 2400, 2400, []Stretch{{377, 978}, {1349, 1950}}, Intervals},
		{"one interval", true, 2700, 2700, rounds(1, 600, 240, 240), Mixed},
		{"the last broken off", true, 2700, 2700, brokenOff, Intervals},
		{"intervals, then bursts", true, 3600, 3600, both, Mixed},
		{"a block", true, 3600, 3600, rounds(1, 600, 1200, 0), Mixed},
		{"blocks", true, 5400, 5400, rounds(2, 600, 1200, 300), Mixed},
	}
	for _, test := range tests {
		if got := SessionKindOf(test.endurance, test.seconds, test.moving, test.bouts, DefaultKindLimits()); got != test.want {
			t.Errorf("%s: %q, want %q", test.name, got, test.want)
		}
	}
}

func TestWarmUpAndCoolDown(t *testing.T) {
	bouts := rounds(2, 600, 240, 240)
	if got := WarmUp(bouts); got != 600 {
		t.Errorf("warm-up %v, want 600", got)
	}
	// The last bout ends at 1320, its recovery at 1500.
	for _, test := range []struct{ session, want float64 }{{2000, 500}, {1500, 0}, {1400, 0}} {
		if got := CoolDown(bouts, test.session); got != test.want {
			t.Errorf("cool-down of %v s: %v, want %v", test.session, got, test.want)
		}
	}
	if !math.IsNaN(WarmUp(nil)) || !math.IsNaN(CoolDown(nil, 3600)) {
		t.Error("no bouts: a warm-up or cool-down was invented")
	}
}

func TestSessionAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 8).Draw(t, "bouts")
		work := float64(rapid.IntRange(20, 600).Draw(t, "work"))
		rest := float64(rapid.IntRange(0, 600).Draw(t, "rest"))
		bouts := rounds(n, 300, work, rest)
		session := bouts[n-1].End + float64(rapid.IntRange(0, 900).Draw(t, "after"))
		sum := WarmUp(bouts) + CoolDown(bouts, session)
		for i, r := range Recoveries(held(int(session), 100), nil, bouts) {
			sum += bouts[i].Duration() + r.Duration()
		}
		if math.Abs(sum-session) > 1e-9 {
			t.Fatalf("the parts add up to %v s of %v", sum, session)
		}
	})
}
