package bouts

import (
	"math"
	"math/rand/v2"
	"testing"
)

// A round that noise hides is found by the clock of the others; one that was
// not done is not made up.
func TestClockFindsTheHiddenRound(t *testing.T) {
	const period, work = 120, 60
	session := func(levels []float64) []float64 {
		rng := rand.New(rand.NewPCG(8, 8))
		y := make([]float64, 2400)
		for i := range y {
			y[i] = 100
			if k := (i - 900) / period; i >= 900 && k < len(levels) && (i-900)%period < work {
				y[i] = levels[k]
			}
			y[i] *= 1 + 0.05*rng.NormFloat64()
		}
		return y
	}
	for _, tt := range []struct {
		name   string
		levels []float64
		given  []int // rounds that the chain has
		want   int
	}{
		{"the first", []float64{200, 200, 200, 200, 200}, []int{1, 2, 3, 4}, 5},
		{"the last two", []float64{200, 200, 200, 200, 200}, []int{0, 1, 2}, 5},
		{"one between", []float64{200, 200, 170, 200, 200}, []int{0, 1, 3, 4}, 5},
		{"not done", []float64{100, 200, 200, 200, 200}, []int{1, 2, 3, 4}, 4},
		{"too few for a clock", []float64{200, 200, 200}, []int{0, 1}, 2},
	} {
		y := session(tt.levels)
		fd := newFinder(newFit(series{y: y, w: ones(len(y))}), outputWeights, nil, DefaultSettings())
		fd.all = nil
		c := chain{pattern: pattern{seconds: work, level: 200, rest: period - work, low: 100}}
		for i, k := range tt.given {
			a := (900 + k*period) / fd.size
			m := candidate{a: a, b: a + work/fd.size, seconds: work, level: 200, left: 100, right: 100, z: 20}
			m.logSeconds, m.logZ = math.Log(m.seconds), math.Log(m.z)
			fd.all = append(fd.all, m)
			c.members = append(c.members, i)
		}
		if got := len(fd.completed(c).members); got != tt.want {
			t.Errorf("%s: %d rounds, want %d", tt.name, got, tt.want)
		}
	}
}
