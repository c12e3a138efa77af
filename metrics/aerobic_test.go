package metrics

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"boutwise/testdata/checks"
)

// nhanesStages are the two stages of the worked example in the NHANES
// Cardiovascular Fitness Procedures Manual, appendix G.
var nhanesStages = []Stage{{120, 23.3}, {140, 31.4}}

func TestExtrapolateVO2MaxPublished(t *testing.T) {
	const source = "NHANES Cardiovascular Fitness Procedures Manual, appendix G"
	// Its maximal rate is 220 less the age of 40.
	got, err := ExtrapolateVO2Max(nhanesStages, 180, 0, DefaultCapacityLimits())
	if err != nil {
		t.Fatal(err)
	}
	published := func(id, what string, want, tol, got float64) {
		checks.Near(t, checks.Check{ID: "nhanes-" + id, What: what, Source: source, Class: checks.Published, Want: want, Tol: tol}, got)
	}
	published("slope", "slope of heart rate over oxygen cost, bpm per mL/kg/min", 2.469, 0.0005, got.Slope)
	published("intercept", "intercept, bpm", 62.47, 0.005, got.Intercept)
	published("vo2max", "maximal oxygen uptake, mL/kg/min", 47.6, 1e-9, got.Value)
	// At least ± 10 %: what submaximal tests err by.
	if math.Abs(got.StdErr-4.76) > 1e-9 || math.Abs(got.Low-42.84) > 1e-9 || math.Abs(got.High-52.36) > 1e-9 {
		t.Errorf("%v from %v to %v, want 4.76, 42.84, 52.36", got.StdErr, got.Low, got.High)
	}

	// Two cycling stages of 75 and 125 W at 70 kg: the line meets 180 bpm at
	// 183.333 W.
	stages := []Stage{{115, CyclingCost(75, 70)}, {145, CyclingCost(125, 70)}}
	got, err = ExtrapolateVO2Max(stages, 180, 0, DefaultCapacityLimits())
	if err != nil {
		t.Fatal(err)
	}
	watts := got.Value - CyclingCost(0, 70)
	computed(t, "vo2max-cycle-watts", "power at the maximal rate from two cycling stages, W", "two stages of 75 and 125 W, line through them",
		checks.Published, 550.0/3, 1e-9, watts/(CyclingCost(1, 70)-CyclingCost(0, 70)))
	computed(t, "vo2max-cycle", "maximal oxygen uptake from two cycling stages, mL/kg/min", bushman, checks.Published,
		CyclingCost(75+50*65.0/30, 70), 1e-9, got.Value)
}

func TestExtrapolateVO2MaxError(t *testing.T) {
	limits := DefaultCapacityLimits()
	// A maximal rate from age scatters by 10 bpm: 10/2.469 = 4.05, still within
	// the floor of 4.76; one of 20 bpm is beyond it.
	got, err := ExtrapolateVO2Max(nhanesStages, 180, 20, limits)
	if err != nil || math.Abs(got.StdErr-20/got.Slope) > 1e-9 {
		t.Errorf("error %v (%v), want %v", got.StdErr, err, 20/got.Slope)
	}
	// Three stages with 4 bpm of scatter: the line's own error counts too.
	scattered := []Stage{{112, 20}, {132, 25}, {136, 30}}
	got, err = ExtrapolateVO2Max(scattered, 180, 10, limits)
	if err != nil || got.Stages != 3 || got.StdErr <= 10/got.Slope || got.StdErr <= 0.1*got.Value {
		t.Errorf("%+v (%v), want an error above both others", got, err)
	}
}

func TestExtrapolateVO2MaxRefuses(t *testing.T) {
	tests := []struct {
		name   string
		stages []Stage
		max    float64
		reason string
	}{
		{"none", nil, 180, "0 steady stages"},
		{"one", nhanesStages[:1], 180, "1 steady stages"},
		{"one missing", []Stage{{120, 23.3}, {missing, 31.4}}, 180, "1 steady stages"},
		{"no maximal rate", nhanesStages, missing, "no maximal heart rate"},
		{"stages alike", []Stage{{120, 23}, {124, 27}}, 180, "rises by 4 bpm"},
		{"at the maximum", []Stage{{150, 23}, {181, 31}}, 180, "not below the maximal heart rate"},
		{"rate falls", []Stage{{140, 23}, {120, 31}}, 180, "does not rise"},
		{"one cost", []Stage{{120, 23}, {140, 23}}, 180, "same oxygen cost"},
		{"implausible", []Stage{{120, 10}, {132, 40}}, 200, "outside the plausible 10 to 90"},
	}
	for _, test := range tests {
		before := slices.Clone(test.stages)
		_, err := ExtrapolateVO2Max(test.stages, test.max, 0, DefaultCapacityLimits())
		if !errors.Is(err, ErrRefused) || !strings.Contains(err.Error(), test.reason) {
			t.Errorf("%s: error %v, want a refusal with %q", test.name, err, test.reason)
		}
		for i := range before {
			if before[i].VO2 != test.stages[i].VO2 {
				t.Errorf("%s: stages changed", test.name)
			}
		}
	}
}
