package metrics

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"boutwise/testdata/checks"
)

func TestTanaka(t *testing.T) {
	const source = "Tanaka et al. 2001, formula as quoted in Nikolaidis 2018 and Zhu 2010"
	for _, test := range []struct {
		id        string
		age, want float64
	}{{"30", 30, 187}, {"40", 40, 180}, {"50", 50, 173}, {"60", 60, 166}, {"70", 70, 159}} {
		computed(t, "tanaka-"+test.id, "maximal heart rate at "+test.id+" years, bpm", source, checks.Published,
			test.want, 1e-9, TanakaMaxHR(test.age))
	}
	if !math.IsNaN(TanakaMaxHR(missing)) {
		t.Error("age unknown: a maximal rate was invented")
	}
}

func TestKarvonen(t *testing.T) {
	published := func(id, what, source string, want, tol, got float64) {
		checks.Near(t, checks.Check{ID: "karvonen-" + id, What: what, Source: source, Class: checks.Published, Want: want, Tol: tol}, got)
	}
	const book = "Health Education 100 textbook, p. 260–261"
	published("40", "target at 40 %, rest 70, max 190, bpm", book, 118, 1e-12, KarvonenTarget(70, 190, 40))
	published("85", "target at 85 %, rest 70, max 190, bpm", book, 172, 1e-12, KarvonenTarget(70, 190, 85))
	published("60", "target at 60 %, rest 75, max 200, bpm", "Austin Community College, worksheet 4", 150, 1e-12, KarvonenTarget(75, 200, 60))
	// The share is published, to a percent: 1.5 bpm of this reserve.
	published("67", "target at 67 %, rest 50, max 200, bpm", "Whitworth University, HS433", 150, 0.75, KarvonenTarget(50, 200, 67))
	const formula = "Karvonen's formula"
	computed(t, "karvonen-70", "target at 70 %, rest 75, max 200, bpm", formula, checks.Published, 162.5, 1e-12, KarvonenTarget(75, 200, 70))
	computed(t, "karvonen-80", "target at 80 %, rest 75, max 200, bpm", formula, checks.Published, 175, 1e-12, KarvonenTarget(75, 200, 80))
	computed(t, "mendes-70", "3-min bouts at 70 %, rest 60, max 180, bpm", "Mendes et al. 2019 (protocol), Karvonen's formula", checks.Published, 144, 1e-12, KarvonenTarget(60, 180, 70))
	computed(t, "mendes-30", "recoveries at 30 %, rest 60, max 180, bpm", "Mendes et al. 2019 (protocol), Karvonen's formula", checks.Published, 96, 1e-12, KarvonenTarget(60, 180, 30))

	for _, got := range []float64{
		KarvonenTarget(missing, 190, 50), KarvonenTarget(70, missing, 50), KarvonenTarget(190, 190, 50),
	} {
		if !math.IsNaN(got) {
			t.Errorf("%v without what it needs, want NaN", got)
		}
	}
}

func TestKarvonenRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rest := float64(rapid.IntRange(35, 90).Draw(t, "rest"))
		maximum := rest + float64(rapid.IntRange(40, 140).Draw(t, "reserve"))
		pct := rapid.Float64Range(0, 110).Draw(t, "pct")
		if got := 100 * (KarvonenTarget(rest, maximum, pct) - rest) / (maximum - rest); math.Abs(got-pct) > 1e-9 {
			t.Fatalf("%v %% became %v %%", pct, got)
		}
	})
}

func TestNearMaxSeconds(t *testing.T) {
	// 90 % of 180 is 162.
	hr := []float64{161, 162, 163, missing, 170, 200}
	tests := []struct {
		name      string
		hr        []float64
		max, want float64
	}{
		{"at the edge", hr, 180, 4},
		{"part", hr[:2], 180, 1},
		{"never", hr[:1], 180, 0},
		{"no maximal rate", hr, missing, missing},
		{"nothing valid", hr[3:4], 180, missing},
		{"nil", nil, 180, missing},
	}
	for _, test := range tests {
		if got := NearMaxSeconds(CountValues(test.hr), test.max); !equalOrMissing(got, test.want) {
			t.Errorf("%s: %v, want %v", test.name, got, test.want)
		}
	}
}

func TestMonoExponentialBout(t *testing.T) {
	// A perfectly held first bout of 4 min with heart rate on its way from 126
	// towards 171 bpm: how long it is above 162 follows from the time constant.
	for _, test := range []struct {
		id         string
		tau, above float64
	}{{"30", 30, 191.7}, {"44", 44, 169.2}, {"60", 60, 143.4}} {
		hr := filled(241, func(i int) float64 { return 171 - 45*math.Exp(-float64(i)/test.tau) })
		computed(t, "hr-kinetics-"+test.id, "seconds at 162 bpm and above in 4 min from 126 to 171 bpm, time constant "+test.id+" s",
			"first-order kinetics, computed in closed form", checks.CommonPractice,
			test.above, 1, NearMaxSeconds(CountValues(hr[:240]), 180))
		if test.tau == 44 {
			computed(t, "hr-kinetics-mean", "mean of the same bout, time constant 44 s, bpm",
				"first-order kinetics, computed in closed form", checks.CommonPractice,
				162.785, 0.2, Stretch{0, 240}.Mean(hr))
		}
	}
}

func TestHRAtThreeQuarters(t *testing.T) {
	ramp := filled(300, func(i int) float64 { return float64(i) })
	gap := slices.Clone(ramp)
	for i := 180; i < 185; i++ {
		gap[i] = missing
	}
	tests := []struct {
		name string
		hr   []float64
		bout Stretch
		want float64
	}{
		// Three quarters of 4 min is second 180: the samples 175 to 184.
		{"4 min", ramp, Stretch{0, 240}, 179.5},
		{"fractional", ramp, Stretch{0.4, 240.8}, 180.5},
		{"half missing", gap, Stretch{0, 240}, 177},
		// The samples 177 to 186, without 180 to 184.
		{"off centre", gap, Stretch{3, 241}, 181},
		{"more than half missing", slices.Concat(held(175, missing), held(4, 150), held(65, missing)), Stretch{0, 240}, missing},
		{"nil", nil, Stretch{0, 240}, missing},
		{"beyond the end", ramp, Stretch{300, 500}, missing},
	}
	for _, test := range tests {
		if got := HRAtThreeQuarters(test.hr, test.bout); !closeOrMissing(got, test.want, 1e-9) {
			t.Errorf("%s: %v, want %v", test.name, got, test.want)
		}
	}
}
