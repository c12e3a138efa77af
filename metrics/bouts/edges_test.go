package bouts

import (
	"math"
	"testing"
)

// A rise of any form has done half of its area at its centre: the seconds
// after it lack as much as the seconds before it have too much.
func TestRisesAreCentred(t *testing.T) {
	for _, r := range rises {
		for h, shares := range r.shares {
			centre := float64(h) / 2
			area := 0.0
			for _, s := range shares {
				area += s
			}
			end := float64(r.starts[h] + len(shares))
			if math.Abs(area-(end-centre)) > 1e-9 {
				t.Errorf("length %v staged %v centre %v: area %v up to %v, want %v", r.length, r.staged, centre, area, end, end-centre)
			}
		}
	}
}

// rising is a step from 100 to 200 at second at, over length seconds.
func rising(at, length float64) []float64 {
	y := make([]float64, 300)
	for i := range y {
		r := rise{length: length}
		y[i] = 100 + 100*min(1, max(0, r.share(float64(i)-at)))
	}
	return y
}

func TestPlaceFindsKnownEdges(t *testing.T) {
	tests := []struct {
		name       string
		at, length float64
		sd         float64
		within     float64
	}{
		{"a clean step", 150, 0, 0, 0.3},
		{"between two seconds", 150.4, 0, 0, 0.3},
		{"a ramp", 150, 8, 0, 0.5},
		{"a step in noise", 150, 0, 8, 2},
		{"a ramp in noise", 148.5, 6, 5, 3},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			y := rising(tt.at, tt.length)
			for i, e := range noisy(7, len(y), 0, tt.sd+1e-9, 3) {
				y[i] += e
			}
			own := make([]bool, len(y))
			for i := range own {
				own[i] = true
			}
			p := series{y: y, w: ones(len(y)), own: own, stopped: make([]bool, len(y))}
			f := newFit(p)
			got := newEdges(p, &f, nil).placeAll([]edge{{at: 153, before: 150, after: 147, begins: true}}, nil)[0]
			if math.Abs(got.at-tt.at) > tt.within {
				t.Errorf("placed at %.2f, want %.2f within %v", got.at, tt.at, tt.within)
			}
			if math.Abs(got.at-tt.at) > 2*got.half {
				t.Errorf("half-width %.2f for an error of %.2f", got.half, got.at-tt.at)
			}
		})
	}
}

// With samples every ten seconds a step may lie anywhere between two: the
// estimate is in the middle and the interval as wide as the gap.
func TestPlaceKnowsWhatItCannotSee(t *testing.T) {
	in := Input{Signal: Power, Values: make([]float64, 300), Observed: make([]bool, 300)}
	for i := range in.Values {
		in.Observed[i] = i%10 == 0
		in.Values[i] = 100
		if i >= 154 {
			in.Values[i] = 200
		}
	}
	p := prepare(in, DefaultSettings())
	f := newFit(p)
	got := newEdges(p, &f, nil).placeAll([]edge{{at: 152, before: 150, after: 140, begins: true}}, nil)[0]
	if math.Abs(got.at-155) > 2 || got.half < 3 {
		t.Errorf("placed at %.1f with half-width %.1f, want 155 and half the gap", got.at, got.half)
	}
}
