package stats

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"boutwise/testdata/checks"
)

var nan = math.NaN()

// same compares with NaN equal to itself.
func same(a, b float64) bool { return a == b || (math.IsNaN(a) && math.IsNaN(b)) }

func TestMoments(t *testing.T) {
	tests := []struct {
		name             string
		x                []float64
		mean, sd, median float64
	}{
		{"nil", nil, nan, nan, nan},
		{"all missing", []float64{nan, nan}, nan, nan, nan},
		{"one", []float64{3}, 3, nan, 3},
		{"one of many", []float64{nan, 3, nan}, 3, nan, 3},
		{"constant", []float64{0.1, 0.1, 0.1}, 0.1, 0, 0.1},
		{"gap", []float64{1, nan, 3}, 2, math.Sqrt2, 2},
		// Σd² about 5 is 32, over 7.
		{"by hand", []float64{2, 4, 4, 4, 5, 5, 7, 9}, 5, math.Sqrt(32.0 / 7), 4.5},
	}
	for _, test := range tests {
		before := slices.Clone(test.x)
		if got := Mean(test.x); !same(got, test.mean) {
			t.Errorf("%s: mean %v, want %v", test.name, got, test.mean)
		}
		if got := SampleSD(test.x); !same(got, test.sd) && math.Abs(got-test.sd) > 1e-15 {
			t.Errorf("%s: SD %v, want %v", test.name, got, test.sd)
		}
		if got := Median(test.x); !same(got, test.median) {
			t.Errorf("%s: median %v, want %v", test.name, got, test.median)
		}
		if !slices.EqualFunc(before, test.x, same) {
			t.Errorf("%s: input changed to %v", test.name, test.x)
		}
	}
}

// nile is the annual flow of the Nile at Aswan, 1871 to 1970, in 10⁸ m³ (Cobb
// GW, Biometrika 1978;65:243–251, table 1). Its sum is 91,935; at least one
// public copy is corrupted.
var nile = []float64{
	1120, 1160, 963, 1210, 1160, 1160, 813, 1230, 1370, 1140, 995, 935, 1110, 994, 1020,
	960, 1180, 799, 958, 1140, 1100, 1210, 1150, 1250, 1260, 1220, 1030, 1100, 774, 840,
	874, 694, 940, 833, 701, 916, 692, 1020, 1050, 969, 831, 726, 456, 824, 702,
	1120, 1100, 832, 764, 821, 768, 845, 864, 862, 698, 845, 744, 796, 1040, 759,
	781, 865, 845, 944, 984, 897, 822, 1010, 771, 676, 649, 846, 812, 742, 801,
	1040, 860, 874, 848, 890, 744, 749, 838, 1050, 918, 986, 797, 923, 975, 815,
	1020, 906, 901, 1170, 912, 746, 919, 718, 714, 740,
}

func TestNileData(t *testing.T) {
	sum := 0.0
	for _, v := range nile {
		sum += v
	}
	if len(nile) != 100 || sum != 91935 {
		t.Fatalf("%d values with sum %v, want 100 with 91935", len(nile), sum)
	}
	source := "computed from Cobb 1978, table 1"
	checks.Near(t, checks.Check{ID: "nile-mean", What: "Nile, mean, 10⁸ m³", Source: source,
		Class: checks.OpenData, Want: 919.35, Tol: 1e-10}, Mean(nile))
	checks.Near(t, checks.Check{ID: "nile-sd", What: "Nile, standard deviation, 10⁸ m³", Source: source,
		Class: checks.OpenData, Want: 169.2275, Tol: 5e-5}, SampleSD(nile))
}

// numpyQuantile are numpy.quantile's values for the Nile, NumPy 2.4.6, default
// method (linear).
var numpyQuantile = []struct {
	id   string
	p    float64
	want float64
}{
	{"0", 0, 456}, {"0.05", 0.05, 697.8}, {"0.1", 0.1, 725.2}, {"0.25", 0.25, 798.5}, {"0.5", 0.5, 893.5},
	{"0.9", 0.9, 1160}, {"0.95", 0.95, 1210.5}, {"0.999", 0.999, 1359.11}, {"1", 1, 1370},
}

func TestQuantileNumPy(t *testing.T) {
	for _, q := range numpyQuantile {
		checks.Near(t, checks.Check{ID: "quantile-" + q.id, What: "Nile, quantile " + q.id, Source: "NumPy 2.4.6, quantile",
			Class: checks.ReferenceLibrary, Want: q.want, Tol: 1e-12, Relative: true}, Quantile(nile, q.p))
	}
}

func TestQuantileEdges(t *testing.T) {
	tests := []struct {
		name    string
		x       []float64
		p, want float64
	}{
		{"nil", nil, 0.5, nan},
		{"one", []float64{7}, 0.3, 7},
		{"below", []float64{1, 2}, -0.1, nan},
		{"above", []float64{1, 2}, 1.1, nan},
		{"p missing", []float64{1, 2}, nan, nan},
		{"gap", []float64{4, nan, 1}, 1.0 / 3, 2},
		{"infinite above", []float64{1, 2, math.Inf(1)}, 0.5, 2},
	}
	for _, test := range tests {
		if got := Quantile(test.x, test.p); !same(got, test.want) {
			t.Errorf("%s: %v, want %v", test.name, got, test.want)
		}
	}
}

// column draws values as traces hold them, some missing.
func column(t *rapid.T) []float64 {
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) float64 {
		if rapid.IntRange(0, 9).Draw(t, "missing") == 0 {
			return nan
		}
		return float64(rapid.IntRange(-50, 400).Draw(t, "value"))
	}), 0, 60).Draw(t, "column")
}

func TestMomentsProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := column(t)
		scaled := make([]float64, len(x))
		for i, v := range x {
			scaled[i] = 1000 - 2*v
		}
		// A straight-line transform carries over to every figure; a falling one
		// mirrors the quantiles.
		if m := Mean(x); !math.IsNaN(m) && math.Abs(Mean(scaled)-(1000-2*m)) > 1e-9 {
			t.Fatalf("mean %v of the transform, want %v", Mean(scaled), 1000-2*m)
		}
		if sd := SampleSD(x); !math.IsNaN(sd) && math.Abs(SampleSD(scaled)-2*sd) > 1e-9 {
			t.Fatalf("SD %v of the transform, want %v", SampleSD(scaled), 2*sd)
		}
		p := rapid.Float64Range(0, 1).Draw(t, "p")
		if q := Quantile(x, p); !math.IsNaN(q) && math.Abs(Quantile(scaled, 1-p)-(1000-2*q)) > 1e-6 {
			t.Fatalf("quantile %v of the transform, want %v", Quantile(scaled, 1-p), 1000-2*q)
		}
	})
}
