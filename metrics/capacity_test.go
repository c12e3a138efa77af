package metrics

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"boutwise/testdata/checks"
)

// constructed are efforts whose three fits were computed apart from the
// program, in plain Python and again with SciPy 1.17.1 (linregress,
// curve_fit).
var constructed = []Effort{{130, 400}, {200, 350}, {390, 300}, {840, 275}}

// relative is a check to a relative tolerance.
func relative(t *testing.T, id, what, source string, class checks.Class, want, tol, got float64) {
	t.Helper()
	checks.Near(t, checks.Check{ID: id, What: what, Source: source, Class: class, Want: want, Tol: tol, Relative: true}, got)
}

// fitted is a fit that must succeed.
func fitted(t *testing.T, efforts []Effort, model PowerModel) CriticalPower {
	t.Helper()
	fit, err := FitCriticalPower(efforts, model, 0.95)
	if err != nil {
		t.Fatalf("%s: %v", model, err)
	}
	return fit
}

func TestCriticalPowerExact(t *testing.T) {
	// (P − 250)·t = 20,000 throughout.
	efforts := []Effort{{200, 350}, {400, 300}, {500, 290}, {800, 275}, {1000, 270}}
	const source = "Monod and Scherrer 1965, the model itself"
	for _, model := range []PowerModel{WorkTime, InverseTime, Hyperbola} {
		fit := fitted(t, efforts, model)
		relative(t, "cp-exact-"+string(model), "critical power, exact efforts, W", source, checks.Published, 250, 1e-9, fit.CP)
		relative(t, "cp-exact-w-"+string(model), "work above it, exact efforts, J", source, checks.Published, 20000, 1e-9, fit.WPrime)
		relative(t, "cp-exact-r2-"+string(model), "R², exact efforts", source, checks.Published, 1, 1e-9, fit.R2)
		if watts, low, high := fit.PowerFor(240); math.Abs(watts-(250+20000.0/240)) > 1e-6 || high-low > 1e-6 {
			t.Errorf("%s: 240 s at %v (%v to %v) W, want 333.33 exactly", model, watts, low, high)
		}
	}
}

func TestCriticalPowerConstructed(t *testing.T) {
	const scipy = "SciPy 1.17.1, linregress and curve_fit"
	tests := []struct {
		model                    PowerModel
		cp, cpErr, w, wErr, fits float64 // fits: R², or SSE for the hyperbola
	}{
		{WorkTime, 251.89418680600915, 0.8095725183702673, 19261.267145656428, 387.1162125650528, 0.9999793416206436},
		{InverseTime, 251.57341462414394, 1.450466264032207, 19377.91341435074, 302.17481061696515, 0.9995139048018001},
		{Hyperbola, 252.61207781135872, 0.6414328383512442, 18783.714391005193, 484.5495565783658, 99.00229576431273},
	}
	for _, test := range tests {
		fit := fitted(t, constructed, test.model)
		near := func(id, what string, want, tol, got float64) {
			relative(t, "cp-"+string(test.model)+"-"+id, what+", "+string(test.model), scipy, checks.ReferenceLibrary, want, tol, got)
		}
		near("cp", "critical power, W", test.cp, 1e-7, fit.CP)
		near("w", "work above critical power, J", test.w, 1e-7, fit.WPrime)
		near("cp-se", "SE of critical power, W", test.cpErr, 1e-5, fit.CPErr)
		near("w-se", "SE of the work above it, J", test.wErr, 1e-5, fit.WPrimeErr)
		// Student's t for 95 % and 2 degrees of freedom is 4.30265.
		near("half", "half of critical power's 95 % interval, W", 4.302652729749462*test.cpErr, 1e-5, fit.CPHigh-fit.CP)
		if test.model == Hyperbola {
			near("sse", "residual sum of squares, s²", test.fits, 1e-8, fit.ResidualSS)
		} else {
			near("r2", "R²", test.fits, 1e-12, fit.R2)
		}
		if fit.Efforts != 4 || fit.CPLow >= fit.CP || fit.WPrimeHigh <= fit.WPrime {
			t.Errorf("%s: %+v, want 4 efforts and limits around the values", test.model, fit)
		}
	}
}

func TestCriticalPowerOtherData(t *testing.T) {
	// The 3, 7 and 12 minute tests, inverse time.
	fit := fitted(t, []Effort{{180, 330}, {420, 285}, {720, 265}}, InverseTime)
	const plain = "computed apart from the model's formula"
	relative(t, "cp-3-7-12", "critical power of 3, 7 and 12 min tests, W", plain, checks.Published, 245.9211, 1e-6, fit.CP)
	relative(t, "cp-3-7-12-w", "work above it, J", plain, checks.Published, 15252.63, 1e-6, fit.WPrime)

	// Distance on time is the same line: one athlete's marks over 1500, 5000
	// and 10,000 m. The longest is beyond the model's range: numbers only.
	marks := []Effort{}
	for _, m := range []struct{ metres, seconds float64 }{{1500, 212.35}, {5000, 757.35}, {10000, 1577.53}} {
		marks = append(marks, Effort{m.seconds, m.metres / m.seconds})
	}
	fit = fitted(t, marks, WorkTime)
	const source = "marks of one athlete, athleticsillustrated.com; line computed apart"
	relative(t, "critical-speed", "critical speed, m/s", source, checks.OpenData, 6.215925, 1e-6, fit.CP)
	relative(t, "critical-speed-d", "distance above it, m", source, checks.OpenData, 222.203, 1e-5, fit.WPrime)
	relative(t, "critical-speed-r2", "R²", source, checks.OpenData, 0.999795, 1e-6, fit.R2)
}

func TestCriticalPowerTwoEfforts(t *testing.T) {
	fit := fitted(t, []Effort{{200, 350}, {800, 275}}, InverseTime)
	if math.Abs(fit.CP-250) > 1e-9 || !math.IsNaN(fit.CPErr) || !math.IsNaN(fit.CPLow) || !math.IsNaN(fit.WPrimeHigh) {
		t.Errorf("%+v, want 250 W without limits", fit)
	}
	if _, low, high := fit.PowerFor(300); !math.IsNaN(low) || !math.IsNaN(high) {
		t.Errorf("limits %v and %v from two efforts, want none", low, high)
	}
	if watts, _, _ := fit.PowerFor(0); !math.IsNaN(watts) {
		t.Errorf("no duration: %v W, want NaN", watts)
	}
}

func TestPowerForInterval(t *testing.T) {
	// The limits of a regression line are narrowest at the mean of x and equal
	// the textbook formula t·s·√(1/n + (x−x̄)²/Sxx); here in x = 1/t.
	fit := fitted(t, constructed, InverseTime)
	n := float64(len(constructed))
	var meanX, sxx float64
	for _, e := range constructed {
		meanX += 1 / e.Seconds / n
	}
	for _, e := range constructed {
		sxx += (1/e.Seconds - meanX) * (1/e.Seconds - meanX)
	}
	s := math.Sqrt(fit.ResidualSS / (n - 2))
	for _, seconds := range []float64{180, 240, 300, 360, 480} {
		watts, low, high := fit.PowerFor(seconds)
		half := 4.302652729749462 * s * math.Sqrt(1/n+(1/seconds-meanX)*(1/seconds-meanX)/sxx)
		if math.Abs((high-low)/2-half) > 1e-6*half || math.Abs((high+low)/2-watts) > 1e-9 {
			t.Errorf("%v s: %v to %v about %v, want half-width %v", seconds, low, high, watts, half)
		}
	}
}

func TestFitCriticalPowerRefuses(t *testing.T) {
	for name, efforts := range map[string][]Effort{
		"none":          nil,
		"one":           {{300, 280}},
		"same duration": {{300, 280}, {300, 290}, {300, 285}},
		"no duration":   {{0, 280}, {300, 290}},
	} {
		for _, model := range []PowerModel{WorkTime, InverseTime, Hyperbola} {
			if _, err := FitCriticalPower(efforts, model, 0.95); !errors.Is(err, ErrRefused) && name != "no duration" {
				t.Errorf("%s, %s: error %v, want a refusal", name, model, err)
			}
		}
	}
	if _, err := FitCriticalPower([]Effort{{0, 280}, {300, 290}, {400, 270}}, InverseTime, 0.95); !errors.Is(err, ErrRefused) {
		t.Errorf("an effort of 0 s, inverse time: error %v, want a refusal", err)
	}
	if _, err := FitCriticalPower(constructed, "cubic", 0.95); err == nil {
		t.Error("an unknown model was fitted")
	}
}

func TestEstimateCriticalPower(t *testing.T) {
	tests := []struct {
		name    string
		efforts []Effort
		reason  string // part of the refusal; empty for none
	}{
		{"good", constructed, ""},
		{"a sprint beside does not count", append([]Effort{{20, 800}}, constructed...), ""},
		{"none", nil, "maximal efforts of 2 to 20 min: 0, of the 3 needed"},
		{"two", constructed[:2], "min: 2, of the"},
		{"three, but one lasts an hour", append([]Effort{{3600, 230}}, constructed[:2]...), "min: 2, of the"},
		{"missing power", []Effort{{200, missing}, {400, 300}, {800, 275}}, "min: 2, of the"},
		{"alike in duration", []Effort{{240, 300}, {300, 290}, {420, 280}}, "must last 2 times the shortest (240 s)"},
		{"longer is harder", []Effort{{180, 250}, {400, 255}, {900, 262}}, "some effort was not maximal"},
		{"scattered", []Effort{{180, 330}, {300, 250}, {420, 300}, {720, 265}}, "uncertain by"},
	}
	for _, test := range tests {
		fit, err := EstimateCriticalPower(test.efforts, DefaultCapacityLimits())
		if test.reason == "" {
			if err != nil || math.Abs(fit.CP-251.573) > 0.001 || fit.Model != InverseTime {
				t.Errorf("%s: %+v, error %v, want 251.573 W by inverse time", test.name, fit, err)
			}
			continue
		}
		if !errors.Is(err, ErrRefused) || !strings.Contains(err.Error(), test.reason) {
			t.Errorf("%s: error %v, want a refusal with %q", test.name, err, test.reason)
		}
	}
	before := slices.Clone(constructed)
	if _, err := EstimateCriticalPower(constructed, DefaultCapacityLimits()); err != nil || !slices.Equal(before, constructed) {
		t.Errorf("efforts changed to %v (%v)", constructed, err)
	}
	// Steep enough to put the asymptote below zero.
	if _, err := EstimateCriticalPower([]Effort{{120, 400}, {240, 190}, {480, 90}}, DefaultCapacityLimits()); !errors.Is(err, ErrRefused) {
		t.Errorf("no asymptote above zero: error %v, want a refusal", err)
	}
}

// squares is the residual sum of squares of the hyperbola in t.
func squares(efforts []Effort, cp, w float64) float64 {
	sum := 0.0
	for _, e := range efforts {
		r := e.Seconds - w/(e.Watts-cp)
		sum += r * r
	}
	return sum
}

func TestCriticalPowerProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cp := rapid.Float64Range(80, 400).Draw(t, "cp")
		w := rapid.Float64Range(5000, 30000).Draw(t, "w")
		var efforts []Effort
		for _, seconds := range []float64{150, 240, 420, 700, 1100} {
			noise := rapid.Float64Range(-0.01, 0.01).Draw(t, "noise")
			efforts = append(efforts, Effort{seconds, (cp + w/seconds) * (1 + noise)})
		}
		for _, model := range []PowerModel{WorkTime, InverseTime, Hyperbola} {
			fit, err := FitCriticalPower(efforts, model, 0.95)
			if err != nil {
				t.Fatalf("%s: %v", model, err)
			}
			// A percent of power moves critical power by a few percent at most.
			if math.Abs(fit.CP-cp) > 0.06*cp+10 {
				t.Fatalf("%s: critical power %v of %v W", model, fit.CP, cp)
			}
			if model == Hyperbola {
				best := squares(efforts, fit.CP, fit.WPrime)
				for _, d := range []float64{-1e-3, 1e-3} {
					beside := min(squares(efforts, fit.CP*(1+d), fit.WPrime), squares(efforts, fit.CP, fit.WPrime*(1+d)))
					if beside < best {
						t.Fatalf("not a minimum: %v beside %v", beside, best)
					}
				}
			}
		}
	})
}
