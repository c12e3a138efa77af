package metrics

import (
	"errors"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"boutwise/testdata/checks"
)

// falling is a column of n seconds that falls by drop to level.
func falling(n int, level, drop, tau float64) []float64 {
	return filled(n, func(t int) float64 { return level + drop*math.Exp(-float64(t)/tau) })
}

// wobbled adds whole numbers from −3 to 3 to a column of whole numbers, so
// that another program can make the same column to the last digit.
func wobbled(column []float64, stride int) []float64 {
	return filled(len(column), func(i int) float64 { return math.Floor(column[i]+0.5) + float64(i*stride%7) - 3 })
}

// SciPy was given the same columns and the model's derivatives.
func TestFitDecaySciPy(t *testing.T) {
	gap := wobbled(falling(240, 90, 40, 80), 3)
	for i := 60; i < 90; i++ {
		gap[i] = missing
	}
	tests := []struct {
		name   string
		column []float64
		want   Decay
	}{
		{"3 min", wobbled(falling(180, 98, 52, 44), 5), Decay{
			97.96062972502749, 0.3692977766773082, 51.84120786653062, 0.6049784566271811,
			44.22467039146447, 1.3010138388099353, 2.019502869147535, 180}},
		{"slow, with a gap", gap, Decay{
			89.82726999722159, 0.5418755578190051, 40.1339955347384, 0.5293167604986769,
			80.9242844546409, 3.6425239295183895, 2.0395075002987437, 210}},
	}
	for _, test := range tests {
		got, err := FitDecay(test.column, Stretch{0, float64(len(test.column))}, DefaultDecayLimits())
		if err != nil {
			t.Errorf("%s: %v", test.name, err)
			continue
		}
		check := func(what string, want, got float64) {
			checks.Near(t, checks.Check{
				ID: "decay-" + test.name + "-" + what, What: "exponential fall, " + test.name + ": " + what,
				Source: "SciPy 1.17.1, curve_fit", Class: checks.ReferenceLibrary, Want: want, Tol: 1e-7, Relative: true,
			}, got)
		}
		check("level", test.want.Level, got.Level)
		check("SE of level", test.want.LevelErr, got.LevelErr)
		check("drop", test.want.Drop, got.Drop)
		check("SE of drop", test.want.DropErr, got.DropErr)
		check("time constant, s", test.want.Tau, got.Tau)
		check("SE of time constant, s", test.want.TauErr, got.TauErr)
		check("residual SD", test.want.SD, got.SD)
		if got.N != test.want.N {
			t.Errorf("%s: %d seconds, want %d", test.name, got.N, test.want.N)
		}
		keepsInput(t, "FitDecay", test.column, func(c []float64) { FitDecay(c, Stretch{0, 240}, DefaultDecayLimits()) })
	}
}

// How much of a first-order fall is over after a time.
func TestFirstOrderFractions(t *testing.T) {
	const source = "first-order kinetics, computed in closed form"
	hr := falling(181, 90, 1, 44)
	computed(t, "first-order-60", "share of a fall of time constant 44 s that is over in 60 s", source, checks.CommonPractice,
		0.744271, 5e-7, HRRecovery60(hr, 0))
	fit, err := FitDecay(falling(180, 90, 60, 44), Stretch{0, 180}, DefaultDecayLimits())
	if err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct {
		id    string
		share float64
		times float64 // time constants until then
	}{{"50", 0.5, 0.693147}, {"63.2", 1 - math.Exp(-1), 1}, {"80", 0.8, 1.609438}, {"95", 0.95, 2.995732}} {
		computed(t, "first-order-t"+test.id, "time until "+test.id+" % of a fitted fall of time constant 44 s are over, s", source,
			checks.CommonPractice, 44*test.times, 1e-4, -fit.Tau*math.Log(1-test.share))
	}
}

// What an exact curve was made of comes back, wherever it lies in the column.
func TestFitDecayExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		level := rapid.Float64Range(50, 120).Draw(t, "level")
		drop := rapid.Float64Range(30, 90).Draw(t, "drop")
		tau := rapid.Float64Range(8, 140).Draw(t, "tau")
		before := rapid.IntRange(0, 50).Draw(t, "before")
		column := slices.Concat(held(before, 170), falling(180, level, drop, tau), held(20, 60))
		got, err := FitDecay(column, Stretch{float64(before), float64(before + 180)}, DefaultDecayLimits())
		if err != nil {
			t.Fatal(err)
		}
		for _, pair := range [][2]float64{{got.Level, level}, {got.Drop, drop}, {got.Tau, tau}} {
			if math.Abs(pair[0]-pair[1]) > 1e-6*pair[1] {
				t.Fatalf("%+v, made of %v, %v and %v", got, level, drop, tau)
			}
		}
	})
}

func TestFitDecayRefuses(t *testing.T) {
	good := falling(180, 90, 60, 45)
	holed := slices.Clone(good)
	for i := 100; i < 137; i++ {
		holed[i] = missing
	}
	tests := []struct {
		name   string
		column []float64
		s      Stretch
	}{
		{"nil", nil, Stretch{0, 180}},
		{"empty stretch", good, Stretch{90, 90}},
		{"149 s", good, Stretch{0, 149}},
		{"unknown start", good, Stretch{missing, 180}},
		{"constant", held(180, 120), Stretch{0, 180}},
		{"all missing", held(180, missing), Stretch{0, 180}},
		{"a fifth missing", holed, Stretch{0, 180}},
		{"a rise", falling(180, 150, -60, 45), Stretch{0, 180}},
		{"a fall of 9", falling(180, 90, 9.1, 45), Stretch{0, 180}},
		{"a straight line", filled(180, func(i int) float64 { return 170 - 0.3*float64(i) }), Stretch{0, 180}},
		{"slower than the stretch", falling(180, 90, 60, 181), Stretch{0, 180}},
		{"faster than a sensor", falling(180, 90, 60, 4.99), Stretch{0, 180}},
		{"a step", slices.Concat(held(1, 150), held(179, 90)), Stretch{0, 180}},
		{"no limits but noise", wobbled(held(180, 100), 5), Stretch{0, 180}},
		{"lost in noise", filled(180, func(i int) float64 { return 90 + 12*math.Exp(-float64(i)/60) + 40*math.Sin(float64(i*i)) }), Stretch{0, 180}},
	}
	for _, test := range tests {
		if got, err := FitDecay(test.column, test.s, DefaultDecayLimits()); !errors.Is(err, ErrRefused) {
			t.Errorf("%s: %+v, %v; want a refusal", test.name, got, err)
		}
		if got := HRRecoveryTau(test.column, test.s); !math.IsNaN(got) {
			t.Errorf("%s: time constant %v, want NaN", test.name, got)
		}
	}
	for name, column := range map[string][]float64{
		"150 s": good[:150], "just faster than the longest": falling(180, 90, 60, 179), "just slower than the shortest": falling(180, 90, 60, 5.01),
	} {
		if _, err := FitDecay(column, Stretch{0, float64(len(column))}, DefaultDecayLimits()); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Heart rate still rises when the work is over; what it does until then is no
// part of the fall.
func TestHRRecoveryTau(t *testing.T) {
	rise := filled(12, func(i int) float64 { return 150 + float64(i) })
	hr := slices.Concat(held(60, 149), rise, held(6, 162), falling(200, 90, 72, 50))
	if got := HRRecoveryTau(hr, Stretch{60, 250}); math.Abs(got-50) > 0.01 {
		t.Errorf("after a delay: %v, want 50", got)
	}
	if got := HRRecoveryTau(falling(200, 90, 72, 50), Stretch{0, 200}); math.Abs(got-50) > 1e-6 {
		t.Errorf("at once: %v, want 50", got)
	}
	// What is left after the delay must be long enough.
	if got := HRRecoveryTau(hr, Stretch{60, 220}); !math.IsNaN(got) {
		t.Errorf("160 s with a delay of 18: %v, want NaN", got)
	}
}

func BenchmarkFitDecay(b *testing.B) {
	column := wobbled(falling(180, 98, 52, 44), 5)
	for b.Loop() {
		if _, err := FitDecay(column, Stretch{0, 180}, DefaultDecayLimits()); err != nil {
			b.Fatal(err)
		}
	}
}
