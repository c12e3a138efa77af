package stats

import (
	"math"
	"testing"

	"boutwise/testdata/checks"
)

// nist is the source of the certified values below: the Statistical Reference
// Datasets of the National Institute of Standards and Technology.
const nist = "NIST StRD"

// certified is a check against a certified value to a relative tolerance.
func certified(t *testing.T, id, what string, want, tol, got float64) {
	t.Helper()
	checks.Near(t, checks.Check{
		ID: id, What: what, Source: nist, Class: checks.OpenData, Want: want, Tol: tol, Relative: true,
	}, got)
}

// numAcc builds NIST's NumAcc2, 3 and 4: one value, then 1,000 that alternate
// around it.
func numAcc(base, low, high float64) []float64 {
	x := []float64{base}
	for range 500 {
		x = append(x, low, high)
	}
	return x
}

func TestNISTMoments(t *testing.T) {
	tests := []struct {
		name     string
		x        []float64
		mean, sd float64
		sdTol    float64 // relative
	}{
		{"NumAcc1", []float64{10000001, 10000003, 10000002}, 10000002, 1, 0},
		{"NumAcc2", numAcc(1.2, 1.1, 1.3), 1.2, 0.1, 1e-14},
		// Near 10⁶ and 10⁷ the tenths themselves are stored with errors of 10⁻¹⁰
		// and 10⁻⁹: no arithmetic on float64 comes closer to the certified 0.1.
		{"NumAcc3", numAcc(1000000.2, 1000000.1, 1000000.3), 1000000.2, 0.1, 1e-9},
		{"NumAcc4", numAcc(10000000.2, 10000000.1, 10000000.3), 10000000.2, 0.1, 1e-8},
	}
	for _, test := range tests {
		certified(t, "nist-"+test.name+"-mean", test.name+", mean", test.mean, 1e-15, Mean(test.x))
		certified(t, "nist-"+test.name+"-sd", test.name+", standard deviation", test.sd, test.sdTol, SampleSD(test.x))
	}
}

// norris is NIST's Norris: x, y in turn.
var norris = []float64{
	0.2, 0.1, 337.4, 338.8, 118.2, 118.1, 884.6, 888, 10.1, 9.2, 226.5, 228.1,
	666.3, 668.5, 996.3, 998.5, 448.6, 449.1, 777, 778.9, 558.2, 559.2, 0.4, 0.3,
	0.6, 0.1, 775.5, 778.1, 666.9, 668.8, 338, 339.3, 447.5, 448.9, 11.6, 10.8,
	556, 557.7, 228.1, 228.3, 995.8, 998, 887.6, 888.8, 120.2, 119.6, 0.3, 0.3,
	0.3, 0.6, 556.8, 557.6, 339.1, 339.3, 887.2, 888, 999, 998.5, 779, 778.9,
	11.1, 10.2, 118.3, 117.6, 229.2, 228.9, 669.1, 668.4, 448.9, 449.2, 0.5, 0.2,
}

func TestNISTNorris(t *testing.T) {
	var x, y []float64
	for i := 0; i < len(norris); i += 2 {
		x, y = append(x, norris[i]), append(y, norris[i+1])
	}
	fit, err := LinearFit(x, y)
	if err != nil {
		t.Fatal(err)
	}
	certified(t, "nist-norris-b0", "Norris, intercept", -0.262323073774029, 1e-11, fit.Coef[0])
	certified(t, "nist-norris-b1", "Norris, slope", 1.00211681802045, 1e-13, fit.Coef[1])
	certified(t, "nist-norris-b0-se", "Norris, SE of the intercept", 0.232818234301152, 1e-11, fit.StdErr[0])
	certified(t, "nist-norris-b1-se", "Norris, SE of the slope", 0.429796848199937e-3, 1e-11, fit.StdErr[1])
	certified(t, "nist-norris-sd", "Norris, residual SD", 0.884796396144373, 1e-11, fit.SD)
	certified(t, "nist-norris-rss", "Norris, residual sum of squares", 26.6173985294224, 1e-11, fit.RSS)
	certified(t, "nist-norris-r2", "Norris, R²", 0.999993745883712, 1e-14, fit.R2)
	if fit.N != 36 || fit.DF != 34 {
		t.Errorf("N %d, DF %d, want 36, 34", fit.N, fit.DF)
	}
}

func TestNISTNoInt1(t *testing.T) {
	var x, y []float64
	for v := 60.0; v <= 70; v++ {
		x, y = append(x, v), append(y, v+70)
	}
	fit, err := LeastSquares(y, x)
	if err != nil {
		t.Fatal(err)
	}
	certified(t, "nist-noint1-b1", "NoInt1, slope through the origin", 2.07438016528926, 1e-14, fit.Coef[0])
	certified(t, "nist-noint1-b1-se", "NoInt1, SE of the slope", 0.0165289256198347, 1e-12, fit.StdErr[0])
	certified(t, "nist-noint1-sd", "NoInt1, residual SD", 3.56753034006338, 1e-12, fit.SD)
	certified(t, "nist-noint1-r2", "NoInt1, R² about zero", 0.999365492298663, 1e-14, fit.R2)
}

// pontius is NIST's Pontius: y at x = 150000·(1…20), twice.
var pontius = []float64{
	.11019, .21956, .32949, .43899, .54803, .65694, .76562, .87487, .98292, 1.09146,
	1.20001, 1.30822, 1.41599, 1.52399, 1.63194, 1.73947, 1.84646, 1.95392, 2.06128, 2.16844,
	.11052, .22018, .32939, .43886, .54798, .65739, .76596, .87474, .98300, 1.09150,
	1.20004, 1.30818, 1.41613, 1.52408, 1.63159, 1.73965, 1.84696, 1.95445, 2.06177, 2.16829,
}

func TestNISTPontius(t *testing.T) {
	var ones, x, xx []float64
	for i := range pontius {
		load := 150000 * float64(i%20+1)
		ones, x, xx = append(ones, 1), append(x, load), append(xx, load*load)
	}
	fit, err := LeastSquares(pontius, ones, x, xx)
	if err != nil {
		t.Fatal(err)
	}
	certified(t, "nist-pontius-b0", "Pontius, B0", 0.673565789473684e-3, 1e-9, fit.Coef[0])
	certified(t, "nist-pontius-b1", "Pontius, B1", 0.732059160401003e-6, 1e-12, fit.Coef[1])
	certified(t, "nist-pontius-b2", "Pontius, B2", -0.316081871345029e-14, 1e-10, fit.Coef[2])
	certified(t, "nist-pontius-b0-se", "Pontius, SE of B0", 0.107938612033077e-3, 1e-9, fit.StdErr[0])
	certified(t, "nist-pontius-b1-se", "Pontius, SE of B1", 0.157817399981659e-9, 1e-9, fit.StdErr[1])
	certified(t, "nist-pontius-b2-se", "Pontius, SE of B2", 0.486652849992036e-16, 1e-9, fit.StdErr[2])
	certified(t, "nist-pontius-sd", "Pontius, residual SD", 0.205177424076185e-3, 1e-9, fit.SD)
	certified(t, "nist-pontius-rss", "Pontius, residual sum of squares", 0.155761768796992e-5, 1e-9, fit.RSS)
	certified(t, "nist-pontius-r2", "Pontius, R²", 0.999999900178537, 1e-13, fit.R2)
}

func TestLeastSquaresRefuses(t *testing.T) {
	nan := math.NaN()
	tests := []struct {
		name  string
		y     []float64
		terms [][]float64
		want  error
	}{
		{"no term", []float64{1, 2}, nil, ErrTooFew},
		{"nil", nil, [][]float64{nil}, ErrTooFew},
		{"one point for a line", []float64{1}, [][]float64{{1}, {2}}, ErrTooFew},
		{"one point left by NaN", []float64{1, nan, 3}, [][]float64{{1, 1, 1}, {2, 3, nan}}, ErrTooFew},
		{"x constant", []float64{1, 2, 3}, [][]float64{{1, 1, 1}, {5, 5, 5}}, ErrDegenerate},
		{"a term of zeros", []float64{1, 2, 3}, [][]float64{{0, 0, 0}}, ErrDegenerate},
		{"infinite", []float64{1, 2, 3}, [][]float64{{1, 1, 1}, {1, 2, math.Inf(1)}}, ErrDegenerate},
		{"infinite y", []float64{1, 2, math.Inf(1)}, [][]float64{{1, 1, 1}, {1, 2, 3}}, ErrDegenerate},
	}
	for _, test := range tests {
		if _, err := LeastSquares(test.y, test.terms...); err != test.want {
			t.Errorf("%s: error %v, want %v", test.name, err, test.want)
		}
	}
}

func TestLinearFitExact(t *testing.T) {
	x := []float64{1, 2, math.NaN(), 4}
	y := []float64{3, 5, 7, 9}
	fit, err := LinearFit(x, y)
	if err != nil {
		t.Fatal(err)
	}
	if fit.N != 3 || math.Abs(fit.Coef[0]-1) > 1e-12 || math.Abs(fit.Coef[1]-2) > 1e-12 {
		t.Errorf("line %v of %d points, want 1 + 2x of 3", fit.Coef, fit.N)
	}
	if got := fit.Value(1, 10); math.Abs(got-21) > 1e-12 {
		t.Errorf("value at 10 is %v, want 21", got)
	}

	// Two points leave no degree of freedom: a line, but no error to tell.
	fit, err = LinearFit([]float64{1, 2}, []float64{3, 5})
	if err != nil {
		t.Fatal(err)
	}
	if fit.DF != 0 || !math.IsNaN(fit.SD) || !math.IsNaN(fit.StdErr[1]) || !math.IsNaN(fit.Quantile(0.95)) {
		t.Errorf("two points: %+v, want NaN for SD and errors", fit)
	}

	// A constant y is explained by nothing.
	fit, err = LinearFit([]float64{1, 2, 3}, []float64{5, 5, 5})
	if err != nil || !math.IsNaN(fit.R2) {
		t.Errorf("constant y: R² %v, error %v, want NaN, nil", fit.R2, err)
	}
}

func TestFitIntervals(t *testing.T) {
	// Four points leave two degrees of freedom: scipy.stats.t.ppf(0.975, 2).
	fit, err := LinearFit([]float64{1, 2, 3, 6}, []float64{2, 1, 4, 6})
	if err != nil {
		t.Fatal(err)
	}
	checks.Near(t, checks.Check{ID: "student-t-2", What: "Student's t for 95 % and 2 degrees of freedom", Source: "SciPy 1.17.1, t.ppf",
		Class: checks.ReferenceLibrary, Want: 4.302652729749462, Tol: 1e-9, Relative: true}, fit.Quantile(0.95))
	if got := fit.Quantile(1); !math.IsNaN(got) {
		t.Errorf("confidence 1: %v, want NaN", got)
	}
	// The mean response errs by SD·√(1/n + (x−x̄)²/Sxx): mean 3, Sxx 14.
	for _, x := range []float64{0, 3, 10} {
		want := fit.SD * math.Sqrt(0.25+(x-3)*(x-3)/14)
		if got := fit.ValueStdErr(1, x); math.Abs(got-want) > 1e-12 {
			t.Errorf("standard error at %v is %v, want %v", x, got, want)
		}
	}
}
