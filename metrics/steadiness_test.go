package metrics

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestBlocks(t *testing.T) {
	// Second i has the value i, so that a block's mean tells its place.
	ramp := filled(120, func(i int) float64 { return float64(i) })
	gappy := slices.Clone(ramp)
	for i := 15; i < 20; i++ { // 5 of the 10 s of the first block
		gappy[i] = missing
	}
	gone := slices.Clone(gappy)
	gone[20] = missing // a sixth

	tests := []struct {
		name   string
		column []float64
		bout   Stretch
		want   []float64
	}{
		// 15 to 25, 25 to 35; the 5 s from 35 to 40 are dropped.
		{"drops the rest", ramp, Stretch{10, 45}, []float64{19.5, 29.5}},
		{"exact", ramp, Stretch{10, 40}, []float64{19.5, 29.5}},
		{"rounds its boundaries", ramp, Stretch{9.6, 40.4}, []float64{19.5, 29.5}},
		{"20 s", ramp, Stretch{10, 30}, []float64{19.5}},
		{"under 20 s", ramp, Stretch{10, 29}, nil},
		{"shorter than its edges", ramp, Stretch{10, 16}, nil},
		// 20 to 24.
		{"half a block", gappy, Stretch{10, 40}, []float64{22, 29.5}},
		{"less than half", gone, Stretch{10, 40}, []float64{missing, 29.5}},
		{"nil", nil, Stretch{10, 40}, nil},
	}
	for _, test := range tests {
		got := Blocks(test.column, test.bout)
		if !slices.EqualFunc(got, test.want, equalOrMissing) {
			t.Errorf("%s: %v, want %v", test.name, got, test.want)
		}
	}
	keepsInput(t, "Blocks", gone, func(c []float64) { Blocks(c, Stretch{10, 40}) })
}

func TestSteadinessCV(t *testing.T) {
	// Blocks of 90 and 110 W: SD √200, mean 100.
	twoLevels := slices.Concat(held(15, 90), held(15, 110))
	tests := []struct {
		name   string
		column []float64
		bout   Stretch
		want   float64
	}{
		{"two levels", twoLevels, Stretch{0, 30}, math.Sqrt(200)},
		{"edges do not count", slices.Concat(held(5, 0), held(60, 200), held(5, 900)), Stretch{0, 70}, 0},
		{"10 s", held(10, 100), Stretch{0, 10}, missing},
		{"one block", held(29, 100), Stretch{0, 29}, missing},
		{"all missing", held(60, missing), Stretch{0, 60}, missing},
		{"zero output", held(60, 0), Stretch{0, 60}, missing},
		{"nil", nil, Stretch{0, 60}, missing},
	}
	for _, test := range tests {
		if got := SteadinessCV(test.column, test.bout); !closeOrMissing(got, test.want, 1e-12) {
			t.Errorf("%s: %v, want %v", test.name, got, test.want)
		}
	}
}

func TestDriftPerMinute(t *testing.T) {
	// Falls by 6 W a minute about a mean of 200 W: −3 % a minute.
	falling := filled(241, func(i int) float64 { return 200 - 0.1*float64(i-120) })
	if got := DriftPerMinute(falling, whole(falling)); math.Abs(got+3) > 1e-9 {
		t.Errorf("falling: %v, want -3", got)
	}
	// Theil–Sen: a coasted corner in one block moves nothing.
	cornered := slices.Clone(falling)
	for i := 100; i < 106; i++ {
		cornered[i] = 0
	}
	mean := whole(cornered).Mean(cornered)
	if got, want := DriftPerMinute(cornered, whole(cornered)), -600/mean; math.Abs(got-want) > 0.15 {
		t.Errorf("with a corner: %v, want near %v", got, want)
	}
	for name, column := range map[string][]float64{"nil": nil, "10 s": held(10, 200), "zero": held(60, 0), "missing": held(60, missing)} {
		if got := DriftPerMinute(column, Stretch{0, 60}); !math.IsNaN(got) {
			t.Errorf("%s: %v, want NaN", name, got)
		}
	}
	if got := DriftPerMinute(held(60, 250), Stretch{0, 60}); got != 0 {
		t.Errorf("constant: %v, want 0", got)
	}
}

func TestQuarters(t *testing.T) {
	steps := slices.Concat(held(30, 110), held(30, 100), held(30, 100), held(30, 90))
	half := slices.Clone(steps)
	for i := range 16 {
		half[i] = missing
	}
	// The 104 s left have a mean of (14·110 + 30·100 + 30·100 + 30·90)/104.
	left := (14*110 + 30*100*2 + 30*90) / 104.0
	tests := []struct {
		name   string
		column []float64
		bout   Stretch
		want   [4]float64
	}{
		{"steps", steps, Stretch{0, 120}, [4]float64{110, 100, 100, 90}},
		// Boundaries at 0, 1.25, 2.5, 3.75 and 5 round to 0, 1, 3, 4, 5.
		{"5 s", []float64{10, 20, 20, 25, 25}, Stretch{0, 5}, [4]float64{50, 100, 125, 125}},
		{"a quarter mostly missing", half, Stretch{0, 120},
			[4]float64{missing, 10000 / left, 10000 / left, 9000 / left}},
		{"zero", held(60, 0), Stretch{0, 60}, [4]float64{missing, missing, missing, missing}},
		{"nil", nil, Stretch{0, 60}, [4]float64{missing, missing, missing, missing}},
	}
	for _, test := range tests {
		got := Quarters(test.column, test.bout)
		for i := range got {
			if !closeOrMissing(got[i], test.want[i], 1e-9) {
				t.Errorf("%s: %v, want %v", test.name, got, test.want)
				break
			}
		}
	}
}

func TestBetweenBouts(t *testing.T) {
	tests := []struct {
		name     string
		means    []float64
		cv, last float64
	}{
		{"nil", nil, missing, missing},
		{"one", []float64{200}, missing, missing},
		// SD 10 about 200.
		{"falling", []float64{210, 200, 190}, 5, 19000.0 / 210},
		{"last unknown", []float64{210, 190, missing}, 100 * math.Sqrt(200) / 200, missing},
	}
	for _, test := range tests {
		cv, last := BetweenBoutCV(test.means), LastToFirst(test.means)
		if !closeOrMissing(cv, test.cv, 1e-9) || !closeOrMissing(last, test.last, 1e-9) {
			t.Errorf("%s: CV %v, last to first %v, want %v, %v", test.name, cv, last, test.cv, test.last)
		}
	}
}

func TestSteadinessProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		output := drawColumn(t, "output", 100, 300)
		bout := Stretch{rapid.Float64Range(0, 60).Draw(t, "start"), rapid.Float64Range(60, 220).Draw(t, "end")}
		doubled := make([]float64, len(output))
		for i, v := range output {
			doubled[i] = 2 * v
		}
		// All are relative to the bout's own mean: the unit does not matter.
		for name, measure := range map[string]func([]float64, Stretch) float64{
			"CV": SteadinessCV, "drift": DriftPerMinute,
			"quarter": func(c []float64, s Stretch) float64 { return Quarters(c, s)[1] },
		} {
			if a, b := measure(output, bout), measure(doubled, bout); !closeOrMissing(a, b, 1e-6) {
				t.Fatalf("%s: %v, but %v when doubled", name, a, b)
			}
		}
		if PacingOf(output, bout, DefaultPacingLimits()) != PacingOf(doubled, bout, DefaultPacingLimits()) {
			t.Fatal("pacing changes with the unit")
		}
		if cv := SteadinessCV(output, bout); cv < 0 {
			t.Fatalf("CV %v is negative", cv)
		}
	})
}
