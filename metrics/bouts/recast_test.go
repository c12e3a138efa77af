package bouts

import (
	"math"
	"testing"
)

func TestRecast(t *testing.T) {
	set := func(p series, from, to int, level float64) {
		for i := from; i < to; i++ {
			p.y[i] = level
		}
	}
	tests := []struct {
		name       string
		change     func(series)
		start, end float64 // first guess at the second of three bouts, 900 to 1200 s
		want       [2]float64
	}{
		{"as it is", func(series) {}, 900, 1200, [2]float64{900, 1200}},
		{"a minute missing at both ends", func(series) {}, 960, 1140, [2]float64{900, 1200}},
		{"rest at both ends", func(series) {}, 860, 1240, [2]float64{900, 1200}},
		{"beyond a short standstill", func(p series) { set(p, 920, 950, 0) }, 950, 1200, [2]float64{900, 1200}},
		{"not beyond a rest", func(p series) { set(p, 700, 820, 200) }, 900, 1200, [2]float64{900, 1200}},
		{"a sprint in the rest", func(p series) { set(p, 860, 866, 900) }, 900, 1200, [2]float64{900, 1200}},
	}
	for _, tt := range tests {
		p, bouts := roundsOf(300, 3, 1, 1)
		tt.change(p)
		bouts[1].Start, bouts[1].End = tt.start, tt.end
		f := finding{bouts: bouts}
		f.recast(p)
		if b := f.bouts[1]; math.Abs(b.Start-tt.want[0]) > 2 || math.Abs(b.End-tt.want[1]) > 2 {
			t.Errorf("%s: %v to %v, want %v", tt.name, b.Start, b.End, tt.want)
		}
	}
}

// What is only possible gives way to a confirmed bout that proves longer.
func TestRecastCoversWhatIsPossible(t *testing.T) {
	p, bouts := roundsOf(300, 2, 1, 1)
	bouts[1].Start += 80
	part := member{Bout: Bout{Start: bouts[1].Start - 80, End: bouts[1].Start - 20, Confidence: Possible}}
	aside := member{Bout: Bout{Start: 100, End: 200, Confidence: Possible}}
	f := finding{bouts: []member{aside, bouts[0], part, bouts[1]}}
	f.recast(p)
	if len(f.bouts) != 3 || f.bouts[0] != aside || math.Abs(f.bouts[2].Start-900) > 2 {
		t.Errorf("%+v", f.bouts)
	}
}

func TestLightened(t *testing.T) {
	p, _ := roundsOf(300, 1, 0, 1)
	for _, zeros := range [][2]int{{10, 15}, {50, 80}, {200, 300}} {
		for i := zeros[0]; i < zeros[1]; i++ {
			p.y[i] = 0
		}
	}
	q := p.lightened()
	for _, tt := range []struct {
		from, to int
		want     float64 // s
	}{{10, 15, 5}, {50, 80, coastCounts}, {200, 300, 100}, {100, 150, 50}} {
		sum := 0.0
		for _, w := range q.w[tt.from:tt.to] {
			sum += w
		}
		if math.Abs(sum-tt.want) > 1e-9 {
			t.Errorf("seconds %d to %d count for %v, want %v", tt.from, tt.to, sum, tt.want)
		}
	}
}

func TestOrderPartsOverlaps(t *testing.T) {
	bout := func(start, end float64) member { return member{Bout: Bout{Start: start, End: end}} }
	f := finding{bouts: []member{bout(500, 700), bout(100, 320), bout(300, 500)}}
	f.order()
	for k, want := range [][2]float64{{100, 310}, {310, 500}, {500, 700}} {
		if b := f.bouts[k]; b.Start != want[0] || b.End != want[1] {
			t.Errorf("bout %d: %v to %v, want %v", k, b.Start, b.End, want)
		}
	}
}
