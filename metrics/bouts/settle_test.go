package bouts

import "testing"

func TestSettled(t *testing.T) {
	tests := []struct {
		name  string
		parts [][2]float64 // seconds and level, in steps
		core  int          // the part that is the candidate
		want  [2]int       // s
	}{
		{"a slow rise", [][2]float64{{300, 100}, {10, 170}, {240, 200}, {300, 100}}, 2, [2]int{300, 550}},
		{"a rise that is none", [][2]float64{{300, 100}, {10, 120}, {240, 200}, {300, 100}}, 2, [2]int{310, 550}},
		{"a stop soon after the start", [][2]float64{{300, 100}, {30, 200}, {14, 0}, {240, 200}, {300, 100}}, 3, [2]int{300, 584}},
		{"a stop before the end", [][2]float64{{300, 100}, {240, 200}, {14, 0}, {30, 190}, {300, 100}}, 1, [2]int{300, 584}},
		{"a surge shorter than the dip", [][2]float64{{300, 100}, {8, 200}, {14, 0}, {240, 200}, {300, 100}}, 3, [2]int{322, 562}},
		{"another bout before a rest", [][2]float64{{300, 100}, {120, 200}, {18, 0}, {240, 200}, {300, 100}}, 3, [2]int{438, 678}},
	}
	for _, tt := range tests {
		var y []float64
		var steps []step
		for _, p := range tt.parts {
			a := len(y) / blockSeconds
			for range int(p[0]) {
				y = append(y, p[1])
			}
			steps = append(steps, step{a: a, b: len(y) / blockSeconds, mean: p[1]})
		}
		f := fit{size: blockSeconds, blocks: newBlocks(y, ones(len(y)), blockSeconds), steps: steps}
		fd := newFinder(f, outputWeights, nil, DefaultSettings())
		core := steps[tt.core]
		c := candidate{a: core.a, b: core.b, level: core.mean, seconds: float64((core.b - core.a) * blockSeconds)}
		a, b := fd.settled(&c, 100)
		if got := [2]int{a * blockSeconds, b * blockSeconds}; got != tt.want {
			t.Errorf("%s: %v, want %v", tt.name, got, tt.want)
		}
	}
}

// What is rest at the end of a candidate is taken off, if it is not much of it.
func TestTrimmed(t *testing.T) {
	for _, tt := range []struct {
		tail, level float64
		want        int // s
	}{{30, 120, 700}, {30, 170, 730}, {120, 120, 820}} {
		var y []float64
		var steps []step
		for _, p := range [][2]float64{{300, 100}, {400, 200}, {tt.tail, tt.level}, {300, 80}} {
			a := len(y) / blockSeconds
			for range int(p[0]) {
				y = append(y, p[1])
			}
			steps = append(steps, step{a: a, b: len(y) / blockSeconds, mean: p[1]})
		}
		f := fit{size: blockSeconds, blocks: newBlocks(y, ones(len(y)), blockSeconds), steps: steps}
		fd := newFinder(f, outputWeights, nil, DefaultSettings())
		c := candidate{a: steps[1].a, b: steps[2].b, level: 195, seconds: 400 + tt.tail}
		if _, b := fd.settled(&c, 90); b*blockSeconds != tt.want {
			t.Errorf("%.0f s at %.0f: ends at %d, want %d", tt.tail, tt.level, b*blockSeconds, tt.want)
		}
	}
}
