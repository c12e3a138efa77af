package stats

import (
	"math"
	"testing"
)

func TestFallingRoot(t *testing.T) {
	tests := []struct {
		name     string
		from, to float64
		f        func(float64) float64
		want     float64
	}{
		{"a line", 0, 10, func(x float64) float64 { return 3 - x }, 3},
		{"cosine", 0, 3, math.Cos, math.Pi / 2},
		{"steep on one side", 0.1, 20, func(x float64) float64 { return math.Exp(-x) - math.Exp(-7) }, 7},
		{"flat at the root", 0, 4, func(x float64) float64 { return -math.Pow(x-1, 3) }, 1},
		{"a jump", 0, 1, func(x float64) float64 { return math.Copysign(1, 0.3-x) }, 0.3},
		{"positive throughout", 2, 5, func(float64) float64 { return 1 }, 5},
		{"negative throughout", 2, 5, func(float64) float64 { return -1 }, 2},
	}
	for _, tt := range tests {
		calls := 0
		got := FallingRoot(tt.from, tt.to, 1e-9, func(x float64) float64 { calls++; return tt.f(x) })
		if math.Abs(got-tt.want) > 2e-8 {
			t.Errorf("%s: %.12g, want %.12g", tt.name, got, tt.want)
		}
		if calls > 130 { // halving every fourth time bounds them
			t.Errorf("%s: f was asked %d times", tt.name, calls)
		}
		t.Logf("%s: %d calls", tt.name, calls)
	}
}
