package bouts

import (
	"math"
	"testing"
)

func TestHabit(t *testing.T) {
	known := func(seconds ...float64) []duration {
		var all []duration
		for _, s := range seconds {
			all = append(all, duration{seconds: s, spread: 0.3})
		}
		return all
	}
	tests := []struct {
		name          string
		durations     []duration
		usual, spread float64
	}{
		{"programmed", known(240, 240.2, 239.9, 240.1, 240), 240, leastSpread},
		{"one odd round", known(240, 240.2, 170, 240.1, 240), 240, leastSpread},
		{"by feel", known(231, 240, 248, 236, 244), 240, 8},
		{"some hardly known", append(known(240, 240, 240), duration{190, 20}, duration{300, 20}), 240, leastSpread},
	}
	for _, tt := range tests {
		h, ok := newHabit(tt.durations)
		if !ok || math.Abs(h.usual-tt.usual) > 0.5 || math.Abs(h.spread-tt.spread) > 1 {
			t.Errorf("%s: %+v, want %v within %v", tt.name, h, tt.usual, tt.spread)
		}
	}
	if h, ok := newHabit(known(240, 240)); ok {
		t.Errorf("two make the habit %+v", h)
	}
}

// A belief is a density over the range of odd durations, so that neither habit
// nor its breach is believed in for nothing.
func TestHabitBeliefIsADensity(t *testing.T) {
	h := habit{usual: 240, spread: 2, freedom: 6}
	sum := 0.0
	for s := 220.0; s < 260; s += 0.1 {
		sum += 0.1 * h.belief(s, 0)
	}
	if math.Abs(sum-1) > 0.06 {
		t.Errorf("sums up to %.3f", sum)
	}
	if h.belief(240, 0) < 20*h.belief(255, 0) {
		t.Error("an odd duration is believed in as much as the usual one")
	}
}

// blurred is a posterior that knows a boundary to some seconds only.
func blurred(at, spread float64) posterior {
	q := posterior{from: at - 40, apart: 0.5, width: 1}
	for k := range 160 {
		x := (q.from + float64(k)*q.apart - at) / spread
		q.shares = append(q.shares, math.Exp(-x*x/2))
		q.forms[0] += q.shares[k]
	}
	return q
}

// The other ends of bout and rest place a boundary that is unclear by itself.
func TestHabitsPlaceAnUnclearBoundary(t *testing.T) {
	set := []int{0, 1, 2, 3}
	var at []placed
	for k := range set {
		start := 300 + 480*float64(k)
		at = append(at, placed{start, 0.3}, placed{start + 240, 0.3})
	}
	unclear := 4
	truth := at[unclear].at
	forms := usualForms()
	q := blurred(truth+9, 8)
	at[unclear] = q.placed(&forms, nil)
	h := newHabits(set, at)
	got := q.placed(&forms, h.belief(set, 2, unclear, at))
	if math.Abs(at[unclear].at-truth) < 8 || math.Abs(got.at-truth) > 1.5 || got.half > at[unclear].half/2 {
		t.Errorf("alone at %+v, together at %+v, true %v", at[unclear], got, truth)
	}
	// A bout of another set in between leaves no rest to go by.
	if b := (habits{hasRest: true}).belief([]int{0, 2}, 1, 4, at); b != nil {
		t.Error("a rest with another bout in it is believed in")
	}
}
