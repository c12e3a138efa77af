package metrics

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"boutwise/testdata/checks"
)

// missing is a second without a measurement.
var missing = math.NaN()

// equalOrMissing compares exactly, NaN equal to itself.
func equalOrMissing(a, b float64) bool { return a == b || (math.IsNaN(a) && math.IsNaN(b)) }

// closeOrMissing compares to an absolute tolerance, NaN equal to itself.
func closeOrMissing(a, b, tol float64) bool {
	return equalOrMissing(a, b) || math.Abs(a-b) <= tol
}

// held is a column of n seconds at one value.
func held(n int, value float64) []float64 { return slices.Repeat([]float64{value}, n) }

// filled is a column of n seconds given by a function of the second.
func filled(n int, at func(second int) float64) []float64 {
	column := make([]float64, n)
	for i := range column {
		column[i] = at(i)
	}
	return column
}

// whole is the stretch that covers a column.
func whole(column []float64) Stretch { return Stretch{0, float64(len(column))} }

// keepsInput fails the test when measure changes the column given to it.
func keepsInput(t *testing.T, name string, column []float64, measure func(column []float64)) {
	t.Helper()
	before := slices.Clone(column)
	measure(column)
	if !slices.EqualFunc(before, column, equalOrMissing) {
		t.Errorf("%s changed its input", name)
	}
}

// drawColumn draws values as traces hold them, whole numbers with some
// missing.
func drawColumn(t *rapid.T, name string, low, high int) []float64 {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) float64 {
		if rapid.IntRange(0, 9).Draw(t, "missing") == 0 {
			return missing
		}
		return float64(rapid.IntRange(low, high).Draw(t, "value"))
	}), 0, 200).Draw(t, name)
}

// computed is a check against a number worked out apart from the program from
// the publication's formula; the class says whether that formula was read.
func computed(t *testing.T, id, what, source string, class checks.Class, want, tol, got float64) {
	t.Helper()
	checks.Near(t, checks.Check{ID: id, What: what, Source: source, Class: class, Want: want, Tol: tol}, got)
}

func TestStretch(t *testing.T) {
	column := []float64{0, 1, 2, 3, 4, 5, 6, 7, 8, 9}
	tests := []struct {
		name       string
		start, end float64
		want       []float64
	}{
		{"whole seconds", 2, 5, []float64{2, 3, 4}},
		{"rounds to the nearest", 1.5, 4.49, []float64{2, 3}},
		{"beyond both ends", -3, 99, column},
		{"empty", 4, 4, nil},
		{"backwards", 6, 3, nil},
		{"no start", missing, 5, nil},
		{"no end", 7, missing, []float64{7, 8, 9}},
		{"beyond integers", -1e300, 1e300, column},
	}
	for _, test := range tests {
		if got := (Stretch{test.start, test.end}).Of(column); !slices.Equal(got, test.want) {
			t.Errorf("%s: %v, want %v", test.name, got, test.want)
		}
	}
	if got := (Stretch{0, 5}).Of(nil); len(got) != 0 {
		t.Errorf("nil column: %v, want nothing", got)
	}
}

func TestStretchMeanAndPeak(t *testing.T) {
	column := []float64{missing, 3, 1, missing, -2}
	tests := []struct {
		name       string
		s          Stretch
		mean, peak float64
	}{
		{"gap", Stretch{0, 3}, 2, 3},
		{"negative", Stretch{3, 5}, -2, -2},
		{"missing", Stretch{3, 4}, missing, missing},
		{"empty", Stretch{9, 12}, missing, missing},
	}
	for _, test := range tests {
		mean, peak := test.s.Mean(column), test.s.Peak(column)
		if !equalOrMissing(mean, test.mean) || !equalOrMissing(peak, test.peak) {
			t.Errorf("%s: mean %v, peak %v, want %v, %v", test.name, mean, peak, test.mean, test.peak)
		}
	}
}
