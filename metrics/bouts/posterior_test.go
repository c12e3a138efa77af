package bouts

import (
	"math"
	"testing"
)

// What the clear boundaries show of the forms is expected of the others.
func TestCommonForms(t *testing.T) {
	slow := risesUpTo(8) // a rise of 11 s
	var seen, unclear posterior
	seen.forms[slow] = 1
	for f := range unclear.forms {
		unclear.forms[f] = 1
	}
	usual := usualForms()
	got := commonForms([]posterior{seen, seen, seen, seen, seen, seen, unclear, unclear, {}})
	sum := 0.0
	for _, share := range got {
		sum += share
	}
	if math.Abs(sum-1) > 1e-9 {
		t.Errorf("shares sum up to %v", sum)
	}
	if got[slow] < 0.7 || usual[slow] > 0.1 {
		t.Errorf("share %.2f of what all clear ones show, %.2f beforehand", got[slow], usual[slow])
	}
	if none := commonForms([]posterior{{}}); math.Abs(none[slow]-usual[slow]) > 0.1*usual[slow] {
		t.Errorf("share %.3f of nothing seen, %.3f beforehand", none[slow], usual[slow])
	}
}

// The interval holds the places that are likely, and only those.
func TestPosteriorPlaces(t *testing.T) {
	forms := usualForms()
	for _, spread := range []float64{1, 3, 8} {
		q := blurred(100, spread)
		got := q.placed(&forms, nil)
		if math.Abs(got.at-100) > 0.3 || math.Abs(got.half/(1.645*spread)-1) > 0.1 {
			t.Errorf("standard error %v: %+v", spread, got)
		}
	}
	q := posterior{fallback: placed{at: 7, half: 8}}
	if got := q.placed(&forms, nil); got != q.fallback {
		t.Errorf("nothing to weigh gives %+v", got)
	}
}
