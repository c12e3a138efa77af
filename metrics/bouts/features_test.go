package bouts

import (
	"math"
	"testing"
)

func TestMovingRest(t *testing.T) {
	tests := []struct {
		name  string
		rests [][2]float64 // seconds and level, after each bout
		want  float64
	}{
		{"easy riding", [][2]float64{{120, 100}}, 100},
		{"a standstill at both ends", [][2]float64{{40, 0}, {80, 190}, {40, 0}}, 190},
		{"standing about", [][2]float64{{20, 100}, {100, 0}}, 0},
		{"two levels", [][2]float64{{60, 80}, {60, 120}}, 100},
	}
	for _, tt := range tests {
		var y []float64
		f := fit{size: blockSeconds}
		hold := func(seconds, level float64) {
			a := len(y) / blockSeconds
			for range int(seconds) {
				y = append(y, level)
			}
			f.steps = append(f.steps, step{a: a, b: len(y) / blockSeconds, mean: level})
		}
		var all []candidate
		for k := range 3 {
			if k > 0 {
				for _, r := range tt.rests {
					hold(r[0], r[1])
				}
			}
			hold(240, 200)
			st := f.steps[len(f.steps)-1]
			all = append(all, candidate{a: st.a, b: st.b})
		}
		f.blocks = newBlocks(y, ones(len(y)), blockSeconds)
		fd := newFinder(f, outputWeights, nil, DefaultSettings())
		fd.all = all
		if got := fd.movingRest([]int{0, 1, 2}, 200); math.Abs(got-tt.want) > 1e-9 {
			t.Errorf("%s: %v, want %v", tt.name, got, tt.want)
		}
	}
}
