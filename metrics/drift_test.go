package metrics

import (
	"slices"
	"testing"
)

func TestHRDrift(t *testing.T) {
	const n = 3600
	level := held(n, 100)
	// After the warm-up of 10 min lie 50 min; the halves meet at second 2100.
	stepped := filled(n, func(i int) float64 {
		if i < 2100 {
			return 120
		}
		return 126
	})
	warm := slices.Clone(stepped)
	for i := range 600 {
		warm[i] = 90
	}
	gone := slices.Clone(stepped)
	for i := 2100; i < 2900; i++ { // 800 of 1,500 s
		gone[i] = missing
	}
	half := slices.Clone(stepped)
	for i := 2100; i < 2800; i++ {
		half[i] = missing
	}
	fading := filled(n, func(i int) float64 {
		if i < 2100 {
			return 200
		}
		return 160
	})

	tests := []struct {
		name       string
		hr, output []float64
		session    Stretch
		want       float64
	}{
		{"rate rises by 5 %", stepped, level, Stretch{0, n}, 5},
		{"the warm-up does not count", warm, level, Stretch{0, n}, 5},
		{"output falls by 20 %", held(n, 120), fading, Stretch{0, n}, 25},
		{"constant", held(n, 120), level, Stretch{0, n}, 0},
		{"less than half of a half", gone, level, Stretch{0, n}, missing},
		{"half of a half", half, level, Stretch{0, n}, 5},
		{"output missing where rate is not", stepped, slices.Concat(held(2100, 100), held(1500, missing)), Stretch{0, n}, missing},
		{"20 min", stepped, level, Stretch{0, 1200}, 0},
		{"under 20 min", stepped, level, Stretch{0, 1198}, missing},
		{"no output", stepped, held(n, 0), Stretch{0, n}, missing},
		{"nil", nil, nil, Stretch{0, n}, missing},
	}
	for _, test := range tests {
		if got := HRDrift(test.hr, test.output, test.session); !closeOrMissing(got, test.want, 1e-9) {
			t.Errorf("%s: %v, want %v", test.name, got, test.want)
		}
	}
	keepsInput(t, "HRDrift", gone, func(c []float64) { HRDrift(c, level, Stretch{0, n}) })
}
