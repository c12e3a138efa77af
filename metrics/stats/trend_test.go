package stats

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"boutwise/testdata/checks"
)

func TestTheilSenPublished(t *testing.T) {
	// Sen PK, J Am Stat Assoc 1968;63:1379–1389, the paper's example.
	x := []float64{1, 2, 3, 4, 10, 12, 18}
	y := []float64{9, 15, 19, 20, 45, 55, 78}
	line := TheilSen(x, y, 0.93)
	sen := func(id, what string, want, tol, got float64) {
		checks.Near(t, checks.Check{ID: "sen-" + id, What: "Sen's example, " + what, Source: "Sen 1968",
			Class: checks.Published, Want: want, Tol: tol}, got)
	}
	sen("slope", "slope", 4, 1e-14, line.Slope)
	sen("low", "lower limit at 93 %", 3.71, 0.005, line.Low)
	sen("high", "upper limit at 93 %", 4.38, 0.0051, line.High)
	// The paper defines no intercept; SciPy's test of the same data has 4.0.
	checks.Near(t, checks.Check{ID: "sen-intercept", What: "Sen's example, intercept", Source: "SciPy, test of theilslopes",
		Class: checks.ReferenceLibrary, Want: 4, Tol: 1e-14}, line.Intercept)
	// The fourth slope from either end of the 21.
	if line.Low != 26.0/7 || line.High != 4.375 {
		t.Errorf("limits %v and %v, want 26/7 and 4.375", line.Low, line.High)
	}

	// Also from SciPy's tests.
	line = TheilSen([]float64{0, 1, 2}, []float64{0, 1, 1}, 0.95)
	small := func(id string, got float64) {
		checks.Near(t, checks.Check{ID: "sen-small-" + id, What: "0, 1, 1 at 0, 1, 2: " + id, Source: "SciPy, test of theilslopes",
			Class: checks.ReferenceLibrary, Want: 0.5, Tol: 1e-15}, got)
	}
	small("slope", line.Slope)
	small("intercept", line.Intercept)
}

func TestTheilSenSciPy(t *testing.T) {
	years := make([]float64, len(nile))
	for i := range years {
		years[i] = float64(1871 + i)
	}
	// scipy.stats.theilslopes, SciPy 1.17.1.
	tests := []struct {
		id                         string
		x, y                       []float64
		confidence                 float64
		slope, intercept, low, top float64
	}{
		{"nile95", years, nile, 0.95, -2.6, 5886.8, -3.627906976744186, -1.4285714285714286},
		{"nile90", years, nile, 0.90, -2.6, 5886.8, -3.4285714285714284, -1.6590909090909092},
		{"ties", []float64{1, 1, 2, 3, 3, 3, 4, 5, 6, 6}, []float64{2, 3, 3, 3, 5, 1, 6, 6, 8, 4}, 0.95, 1, 0.5, 0, 1.5},
	}
	for _, test := range tests {
		line := TheilSen(test.x, test.y, test.confidence)
		near := func(id string, want, got float64) {
			checks.Near(t, checks.Check{ID: "theilsen-" + test.id + "-" + id, What: "Theil–Sen " + id + ", " + test.id,
				Source: "SciPy 1.17.1, theilslopes", Class: checks.ReferenceLibrary, Want: want, Tol: 1e-12}, got)
		}
		near("slope", test.slope, line.Slope)
		near("intercept", test.intercept, line.Intercept)
		near("low", test.low, line.Low)
		near("high", test.top, line.High)
	}
}

func TestTheilSenEdges(t *testing.T) {
	tests := []struct {
		name  string
		x, y  []float64
		slope float64
		n     int
	}{
		{"nil", nil, nil, nan, 0},
		{"one", []float64{1}, []float64{2}, nan, 1},
		{"x constant", []float64{1, 1}, []float64{2, 3}, nan, 2},
		{"y constant", []float64{1, 2, 3}, []float64{4, 4, 4}, 0, 3},
		{"gaps", []float64{1, nan, 3, 4}, []float64{2, 4, 6, nan}, 2, 2},
		{"unordered", []float64{3, 1, 2}, []float64{6, 2, 4}, 2, 3},
	}
	for _, test := range tests {
		x, y := slices.Clone(test.x), slices.Clone(test.y)
		line := TheilSen(test.x, test.y, 0.95)
		if !same(line.Slope, test.slope) || line.N != test.n {
			t.Errorf("%s: slope %v of %d, want %v of %d", test.name, line.Slope, line.N, test.slope, test.n)
		}
		if !slices.EqualFunc(x, test.x, same) || !slices.EqualFunc(y, test.y, same) {
			t.Errorf("%s: input changed", test.name)
		}
	}
	if line := TheilSen([]float64{1, 2, 3}, []float64{1, 2, 4}, nan); !math.IsNaN(line.Low) || line.Slope != 1.5 {
		t.Errorf("no confidence asked: %+v, want slope 1.5 and no interval", line)
	}
	defer func() {
		if recover() == nil {
			t.Error("columns of different length did not panic")
		}
	}()
	TheilSen([]float64{1}, nil, 0.95)
}

func TestTheilSenThins(t *testing.T) {
	const n = 3 * maxTheilSen
	x, y := make([]float64, n), make([]float64, n)
	for i := range x {
		x[i], y[i] = float64(i), 5-0.25*float64(i)
	}
	line := TheilSen(x, y, 0.95)
	if line.N != maxTheilSen || line.Slope != -0.25 || math.Abs(line.Intercept-5) > 1e-9 {
		t.Errorf("%+v, want slope -0.25 and intercept 5 of %d", line, maxTheilSen)
	}
	if kept := thin(x, 7); kept[0] != 0 || kept[6] != n-1 || len(kept) != 7 {
		t.Errorf("thinned to %v, want 7 from first to last", kept)
	}
}

func TestMannKendallPublished(t *testing.T) {
	y := []float64{12.9, 14.8, 13.2, 15.7, 13.8, 15.6, 12.9, 11.0, 17.3, 15.9, 19.0, 18.3, 20.1, 21.7}
	test := MannKendall(y)
	// College of the Holy Cross, worked by hand (MannKendallByHand.txt).
	published := func(id, what string, want, tol, got float64) {
		checks.Near(t, checks.Check{ID: "mk-" + id, What: "Mann–Kendall by hand, " + what,
			Source: "Holy Cross, MannKendallByHand", Class: checks.Published, Want: want, Tol: tol}, got)
	}
	published("s", "S", 54, 0, float64(test.S))
	published("z", "Z", 2.9058, 5e-5, test.Z)
	published("p", "one-sided p", 0.0018, 5e-5, test.P/2)
	// By the formulas, from the same data; with one pair of ties the variance is
	// (14·13·33 − 2·1·9)/18.
	published("variance", "variance of S", (14.0*13*33-18)/18, 1e-9, test.Variance)
	published("p2", "two-sided p", 0.0036627, 5e-8, test.P)
	published("tau", "τ", 54.0/91, 1e-15, test.Tau)
	order := make([]float64, len(y))
	for i := range order {
		order[i] = float64(i + 1)
	}
	line := TheilSen(order, y, 0.95)
	published("sen-slope", "Sen's slope a step", 0.566667, 5e-7, line.Slope)
	published("sen-intercept", "Sen's intercept", 11.4, 1e-9, line.Intercept)

	computed := func(id, what string, want, tol, got float64) {
		checks.Near(t, checks.Check{ID: "mk-nile-" + id, What: "Nile, Mann–Kendall " + what,
			Source: "computed from Cobb 1978, table 1", Class: checks.OpenData, Want: want, Tol: tol}, got)
	}
	test = MannKendall(nile)
	computed("s", "S", -1387, 0, float64(test.S))
	computed("z", "Z", -4.12807, 5e-6, test.Z)
}

func TestKendallVarianceSciPy(t *testing.T) {
	// scipy.stats.kendalltau, SciPy 1.17.1, method asymptotic: its p has no
	// continuity correction, so it checks S and the variance with ties in both.
	years := make([]float64, len(nile))
	for i := range years {
		years[i] = float64(i)
	}
	tests := []struct {
		id   string
		x, y []float64
		p    float64
	}{
		{"ties", []float64{1, 1, 2, 3, 3, 3, 4, 5, 6, 6}, []float64{2, 3, 3, 3, 5, 1, 6, 6, 8, 4}, 0.025294368437207712},
		{"nile", years, nile, 3.6111799194816154e-05},
	}
	for _, test := range tests {
		k := kendall(test.x, test.y)
		p := math.Erfc(math.Abs(float64(k.S)) / math.Sqrt(2*k.Variance))
		checks.Near(t, checks.Check{ID: "kendall-" + test.id, What: "Kendall's score, p without continuity, " + test.id,
			Source: "SciPy 1.17.1, kendalltau", Class: checks.ReferenceLibrary, Want: test.p, Tol: 1e-12, Relative: true}, p)
	}
}

// The variance with ties in both columns against that of S over all orders of
// y, each as likely as the other without a trend.
func TestKendallVarianceByPermutation(t *testing.T) {
	tests := []struct {
		name string
		x, y []float64
	}{
		{"one apart in both", []float64{0, 0, 0, 0, 0, 1}, []float64{0, 0, 0, 0, 0, 1}},
		{"one apart at either end", []float64{0, 0, 0, 0, 1}, []float64{0, 1, 1, 1, 1}},
		{"halves", []float64{0, 0, 0, 1, 1, 1}, []float64{2, 2, 2, 2, 5, 5}},
		{"ties in one", []float64{1, 2, 3, 4, 5, 6}, []float64{7, 7, 7, 8, 9, 9}},
		{"no ties", []float64{1, 2, 3, 4, 5}, []float64{3, 1, 4, 2, 5}},
	}
	for _, test := range tests {
		var sum, squares, count float64
		y := slices.Clone(test.y)
		permutations(y, len(y), func() {
			s := float64(kendall(test.x, y).S)
			sum, squares, count = sum+s, squares+s*s, count+1
		})
		mean := sum / count
		want := squares/count - mean*mean
		if got := kendall(test.x, test.y).Variance; math.Abs(got-want) > 1e-9 {
			t.Errorf("%s: variance %v, over all orders %v", test.name, got, want)
		}
	}
}

func TestKendallOfAConstant(t *testing.T) {
	constant, y := []float64{1, 1, 1, 1}, []float64{0, 1, 2, 2}
	for _, k := range []Kendall{kendall(constant, constant), kendall(constant, y), kendall(y, constant)} {
		if k.S != 0 || k.Variance != 0 || !math.IsNaN(k.P) {
			t.Errorf("%+v, want no variance and no p", k)
		}
	}
}

// permutations visits every order of the first n values (Heap's algorithm).
func permutations(x []float64, n int, visit func()) {
	if n <= 1 {
		visit()
		return
	}
	for i := range n {
		permutations(x, n-1, visit)
		if n%2 == 0 {
			x[i], x[n-1] = x[n-1], x[i]
		} else {
			x[0], x[n-1] = x[n-1], x[0]
		}
	}
}

func TestMannKendallEdges(t *testing.T) {
	tests := []struct {
		name string
		y    []float64
		s    int
		z    float64
	}{
		{"nil", nil, 0, nan},
		{"two", []float64{1, 2}, 1, nan},
		{"constant", []float64{4, 4, 4, 4, 4}, 0, nan},
		{"no trend", []float64{1, 2, 2, 1}, 0, 0},
		{"gap", []float64{1, nan, 2, 3}, 3, 2 / math.Sqrt(66.0/18)},
	}
	for _, test := range tests {
		k := MannKendall(test.y)
		if k.S != test.s || !same(k.Z, test.z) {
			t.Errorf("%s: S %d, Z %v, want %d, %v", test.name, k.S, k.Z, test.s, test.z)
		}
	}
}

func TestTrend(t *testing.T) {
	tests := []struct {
		name string
		x, y []float64
		want Direction
	}{
		{"nil", nil, nil, NoTrend},
		{"four in order are no evidence", []float64{1, 2, 3, 4}, []float64{1, 2, 3, 4}, NoTrend},
		{"five are", []float64{1, 2, 3, 4, 5}, []float64{1, 2, 3, 4, 5}, Rising},
		{"falling", []float64{1, 2, 3, 4, 5, 6}, []float64{9, 8, 8, 7, 6, 5}, Falling},
		{"falling, given backwards", []float64{6, 5, 4, 3, 2, 1}, []float64{5, 6, 7, 8, 8, 9}, Falling},
		{"constant", []float64{1, 2, 3, 4, 5, 6}, []float64{5, 5, 5, 5, 5, 5}, NoTrend},
		{"up and down", []float64{1, 2, 3, 4, 5, 6}, []float64{1, 3, 5, 5, 3, 1}, NoTrend},
		{"one outlier turns nothing", []float64{1, 2, 3, 4, 5, 6, 7, 8}, []float64{1, 2, 3, 4, 5, 6, 7, -90}, NoTrend},
		{"same day", []float64{1, 1, 1, 1, 1, 1}, []float64{1, 2, 3, 4, 5, 6}, NoTrend},
	}
	for _, test := range tests {
		if got := Trend(test.x, test.y, 0.05); got.Direction != test.want {
			t.Errorf("%s: %q with p %v, want %q", test.name, got.Direction, got.Test.P, test.want)
		}
	}
	if got := Trend([]float64{1, 2, 3, 4, 5}, []float64{1, 2, 3, 4, 5}, 0.01); got.Direction != NoTrend {
		t.Errorf("five in order at level 0.01: %q, want no clear trend", got.Direction)
	}
}

func TestTrendFalseAlarms(t *testing.T) {
	// Without a trend a direction is named no more often than alpha, within
	// three standard errors of 2,000 trials.
	rng := rand.New(rand.NewPCG(1, 2))
	const trials, alpha = 2000, 0.05
	for _, n := range []int{5, 8, 12, 30} {
		named := 0
		for range trials {
			x, y := make([]float64, n), make([]float64, n)
			for i := range x {
				x[i], y[i] = float64(i), rng.NormFloat64()
			}
			if Trend(x, y, alpha).Direction != NoTrend {
				named++
			}
		}
		if share := float64(named) / trials; share > alpha+3*math.Sqrt(alpha*(1-alpha)/trials) {
			t.Errorf("%d points: %v of pure noise has a direction, want at most %v", n, share, alpha)
		}
	}
}

func TestTrendProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := column(t)
		x := make([]float64, len(y))
		for i := range x {
			x[i] = float64(i)
		}
		up, mirrored := make([]float64, len(y)), make([]float64, len(y))
		for i, v := range y {
			up[i], mirrored[i] = 3*v+7, -v
		}
		line, scaled, flipped := TheilSen(x, y, 0.9), TheilSen(x, up, 0.9), TheilSen(x, mirrored, 0.9)
		if math.IsNaN(line.Slope) {
			return
		}
		if math.Abs(scaled.Slope-3*line.Slope) > 1e-9 || math.Abs(flipped.Slope+line.Slope) > 1e-9 {
			t.Fatalf("slopes %v, %v, %v do not follow the transform", line.Slope, scaled.Slope, flipped.Slope)
		}
		if !(line.Low <= line.Slope && line.Slope <= line.High) {
			t.Fatalf("slope %v outside its interval %v to %v", line.Slope, line.Low, line.High)
		}
		if a, b := MannKendall(y), MannKendall(mirrored); a.S != -b.S || !same(a.P, b.P) {
			t.Fatalf("mirrored: S %d and %d, p %v and %v", a.S, b.S, a.P, b.P)
		}
	})
}

func BenchmarkTheilSen(b *testing.B) {
	for _, n := range []int{50, 500, maxTheilSen} {
		x, y := make([]float64, n), make([]float64, n)
		rng := rand.New(rand.NewPCG(3, 4))
		for i := range x {
			x[i], y[i] = float64(i), rng.NormFloat64()
		}
		b.Run("n="+map[int]string{50: "50", 500: "500", maxTheilSen: "2000"}[n], func(b *testing.B) {
			for b.Loop() {
				TheilSen(x, y, 0.95)
			}
		})
	}
}
