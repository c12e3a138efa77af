package bouts

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

func TestUpperRuns(t *testing.T) {
	// A bout with a fast start between two rests: 1 3 2 1, and a second one.
	steps := []step{{0, 10, 1}, {10, 15, 3}, {15, 30, 2}, {30, 40, 1}, {40, 60, 2.5}}
	got := upperRuns(steps)
	want := [][2]int{{10, 15}, {10, 30}, {40, 60}, {0, 60}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("runs differ (-want +got)\n%s", diff)
	}
	if got := upperRuns(nil); got != nil {
		t.Errorf("runs of nothing: %v", got)
	}
}

func TestFilledJoinsInterruptedWorkOnly(t *testing.T) {
	tests := []struct {
		name   string
		levels []float64 // of 20 s, the middle one of dip seconds
		dip    int
		want   int // steps left
	}{
		{"a short dip", []float64{100, 200, 50, 198, 100}, 10, 3},
		{"a long one", []float64{100, 200, 50, 198, 100}, 60, 5},
		{"another level after it", []float64{100, 200, 150, 320, 100}, 10, 5},
		{"a surge is no dip", []float64{100, 200, 400, 198, 100}, 10, 5},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			var y []float64
			var steps []step
			for k, level := range tt.levels {
				length := 100
				if k == 2 {
					length = tt.dip
				}
				steps = append(steps, step{a: len(y) / 2, b: (len(y) + length) / 2, mean: level})
				for range length {
					y = append(y, level)
				}
			}
			f := fit{size: 2, blocks: newBlocks(y, ones(len(y)), 2)}
			if got := len(f.filled(steps, 20)); got != tt.want {
				t.Errorf("%d steps left, want %d", got, tt.want)
			}
		})
	}
}

// A dip is closed when it is short beside the work around it, whatever steps
// that work is made of.
func TestClosedRuns(t *testing.T) {
	staircase := func(parts ...[2]float64) (f fit, steps []step) {
		var y []float64
		for _, p := range parts {
			a := len(y) / 2
			for range int(p[0]) {
				y = append(y, p[1])
			}
			steps = append(steps, step{a: a, b: len(y) / 2, mean: p[1]})
		}
		return fit{size: 2, blocks: newBlocks(y, ones(len(y)), 2)}, steps
	}
	tests := []struct {
		name  string
		parts [][2]float64 // seconds and level
		want  [][2]int     // blocks
	}{
		{"within a long block", [][2]float64{{300, 100}, {300, 210}, {200, 190}, {40, 0}, {500, 205}, {300, 100}}, [][2]int{{150, 670}}},
		{"between two bouts", [][2]float64{{300, 100}, {120, 200}, {40, 0}, {120, 200}, {300, 100}}, nil},
		{"too long for any", [][2]float64{{300, 100}, {900, 200}, {90, 0}, {900, 200}, {300, 100}}, nil},
	}
	for _, tt := range tests {
		f, steps := staircase(tt.parts...)
		got := slices.DeleteFunc(f.closedRuns(steps, 20), func(run [2]int) bool { return run[0] != 150 })
		if len(got) > 0 {
			// The widest is the block itself.
			got = got[:1]
		}
		if diff := cmp.Diff(tt.want, got, cmpopts.EquateEmpty()); diff != "" {
			t.Errorf("%s (-want +got)\n%s", tt.name, diff)
		}
	}
}
