package metrics

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Invented columns of an hour on foot: what is checked is the counting.
func TestCadenceLock(t *testing.T) {
	const n = 3600
	strides := filled(n, func(i int) float64 { return 82 + math.Round(5*math.Sin(float64(i)/300)) })
	steps := filled(n, func(i int) float64 { return 2 * strides[i] })
	// Two walkers whose hearts beat at the rate of their steps, each wandering
	// by itself.
	wander := func(by, seconds float64) func(int) float64 {
		return func(i int) float64 { return 114 + math.Round(by*math.Sin(float64(i)/seconds)) }
	}
	calm := filled(n, func(i int) float64 { return wander(2, 23)(i) / 2 })
	tests := []struct {
		name        string
		hr, cadence []float64
		low, high   float64
	}{
		{"steps for the pulse", steps, strides, 100, 100},
		{"strides for the pulse", strides, strides, 100, 100},
		{"a second late", append([]float64{164}, steps[:n-1]...), strides, 95, 100},
		{"half the time", filled(n, func(i int) float64 { return map[bool]float64{true: steps[i], false: 120}[i%600 < 300] }), strides, 50, 50},
		{"a heart of its own", held(n, 120), strides, 0, 0},
		{"both stand still", held(n, 114), held(n, 57), 0, 0},
		{"a heart that often meets the steps", filled(n, wander(4, 37)), calm, 0, 0},
		{"a heart that meets them nearly always", filled(n, wander(1, 61)), calm, 0, 0},
	}
	for _, test := range tests {
		if got := CadenceLock(test.hr, test.cadence); !(got >= test.low && got <= test.high) {
			t.Errorf("%s: %g, want %g to %g", test.name, got, test.low, test.high)
		}
	}
	for name, hr := range map[string][]float64{
		"too little": steps[:50], "not measured": nil, "no value": held(n, missing),
	} {
		if got := CadenceLock(hr, strides); !math.IsNaN(got) {
			t.Errorf("%s: %g, want NaN", name, got)
		}
	}
	if got := CadenceLock(held(n, 114), held(n, 0)); !math.IsNaN(got) {
		t.Errorf("no step made: %g, want NaN", got)
	}
}

// A heart and steps that know nothing of each other make no lock, though both
// wander about one rate for an hour; steps taken for the pulse do, by a sensor
// that comes to it late as well.
func TestCadenceLockByChance(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	wander := func(sd, tau float64) []float64 {
		keep, x := math.Exp(-1/tau), sd*rng.NormFloat64()
		return filled(3600, func(int) float64 {
			x = keep*x + math.Sqrt(1-keep*keep)*sd*rng.NormFloat64()
			return x
		})
	}
	const trials = 50
	for range trials {
		slow, quick, heart := wander(2, 120), wander(1.5, 1.5), wander(2, 60)
		cadence := filled(3600, func(i int) float64 { return math.Round((114 + slow[i] + quick[i]) / 2) })
		own := filled(3600, func(i int) float64 { return math.Round(114 + heart[i]) })
		// A sensor tells the mean of some seconds.
		mean := 114.0
		counted := filled(3600, func(i int) float64 {
			mean += (114 + slow[i] + quick[i] - mean) / 6
			return math.Round(mean)
		})
		if got := CadenceLock(own, cadence); got != 0 {
			t.Errorf("two that know nothing of each other: %g", got)
		}
		if got := CadenceLock(counted, cadence); got < 75 {
			t.Errorf("steps for the pulse: %g", got)
		}
		late := append(filled(1200, func(i int) float64 { return 92 + math.Round(heart[i]) }), counted[1200:]...)
		if got := CadenceLock(late, cadence); got < 50 {
			t.Errorf("steps for the pulse in the last two thirds: %g", got)
		}
	}
}
