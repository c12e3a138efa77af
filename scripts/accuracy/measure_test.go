package main

import (
	"math"
	"testing"

	"boutwise/metrics/bouts"
	"boutwise/metrics/synthetic"
)

func TestTallyCounts(t *testing.T) {
	values := make([]float64, 400)
	for i := range values {
		values[i] = 100
	}
	session := synthetic.Session{Done: values, Truth: []synthetic.Truth{
		{Start: 50, End: 110, Mean: 100, Quarters: [4]float64{100, 100, 100, 100}},
		{Start: 200, End: 260, Mean: 100, Quarters: [4]float64{100, 100, 100, 100}},
	}}
	in := bouts.Input{Values: values}
	var got tally
	good := got.add(session, in, []span{
		{52, 110, 3, 0.1}, // 2 s late, covered; the end exact
		{225, 290, 1, 1},  // shares 35 of 90 s: no match
		{300, 310, 1, 1},  // false
	})
	if good || got.matched != 1 || got.truth != 2 || got.found != 3 || got.whole != 1 {
		t.Errorf("matched %d of %d true, %d found, %d whole; want 1, 2, 3 and 1", got.matched, got.truth, got.found, got.whole)
	}
	if got.covered != 2 || got.errors[0] != 2 || got.errors[1] != 0 {
		t.Errorf("errors %v, %d covered; want 2 and 0, both covered", got.errors, got.covered)
	}
	var none tally
	none.add(synthetic.Session{}, in, []span{{1, 30, 0, 0}})
	if none.falseAlarms != 1 {
		t.Errorf("%d false alarms, want 1", none.falseAlarms)
	}
}

func TestQuantile(t *testing.T) {
	if got := quantile([]float64{5, math.NaN(), 1, 3}, 0.5); got != 3 {
		t.Errorf("median %v, want 3", got)
	}
	if got := quantile(nil, 0.5); !math.IsNaN(got) {
		t.Errorf("median of nothing %v", got)
	}
}

// The threshold finds plain bouts: a baseline that finds nothing would be no
// comparison.
func TestThresholdFindsPlainBouts(t *testing.T) {
	values := make([]float64, 1800)
	for i := range values {
		values[i] = 100
		if i >= 600 && i < 900 || i >= 1200 && i < 1500 {
			values[i] = 200
		}
	}
	got := threshold(synthetic.Session{}, bouts.Input{Values: values})
	if len(got) != 2 || math.Abs(got[0].start-600) > 2 || math.Abs(got[1].end-1500) > 2 {
		t.Errorf("found %v, want 600 to 900 and 1200 to 1500", got)
	}
}
