package metrics

import (
	"math"
	"testing"
)

// Invented columns: what is checked is the counting.
func TestCadenceLock(t *testing.T) {
	column := func(n int, f func(i int) float64) []float64 {
		out := make([]float64, n)
		for i := range out {
			out[i] = f(i)
		}
		return out
	}
	strides := column(600, func(i int) float64 { return 80 + float64(i%3) })
	for _, c := range []struct {
		name string
		hr   []float64
		want float64
	}{
		{"steps for the pulse", column(600, func(i int) float64 { return 160 + float64(2*(i%3)) }), 100},
		{"revolutions for the pulse", column(600, func(i int) float64 { return 81 }), 100},
		{"a heart of its own", column(600, func(i int) float64 { return 120 }), 0},
		{"half the time", column(600, func(i int) float64 { return map[bool]float64{true: 162, false: 120}[i < 300] }), 50},
		{"too little", column(50, func(i int) float64 { return 162 }), math.NaN()},
		{"not measured", nil, math.NaN()},
	} {
		if got := CadenceLock(c.hr, strides); got != c.want && !(math.IsNaN(got) && math.IsNaN(c.want)) {
			t.Errorf("%s: %g, want %g", c.name, got, c.want)
		}
	}
}
