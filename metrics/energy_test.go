package metrics

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"boutwise/testdata/checks"
)

// The metre a second in a mile an hour, exact and as the textbooks round it.
const (
	mph      = 1609.344 / 3600
	mphTexts = 26.8 / 60
)

// bushman is the source of the equations.
const bushman = "Bushman 2020 (ACSM's Health Fit J 24(4)), box 1"

func TestWalkingCostTable(t *testing.T) {
	// Treadmill stages and their oxygen cost as published in the NHANES
	// cardiovascular fitness tutorial, appendix H (CDC/NCHS). The authors used
	// 26.8 m/min; they printed one stage as a whole number.
	const source = "NHANES cardiovascular fitness tutorial, appendix H"
	for _, stage := range []struct{ speed, grade, want float64 }{
		{1.7, 0, 8.1}, {2.0, 0, 8.9}, {2.1, 0.5, 9.6}, {2.1, 4.5, 13.6},
		{2.0, 1, 10}, {2.3, 2, 11.9}, {2.3, 6.5, 16.9}, {2.2, 2, 11.5},
		{2.7, 3, 14.6}, {2.7, 7.5, 20.6}, {2.7, 2, 13.3}, {3.1, 4, 17.8},
		{3.1, 8.5, 24.4}, {3.0, 3, 16}, {3.7, 4, 20.6}, {3.7, 8, 27.8},
	} {
		tol := 0.13
		if stage.want == math.Trunc(stage.want) {
			tol = 0.2
		}
		checks.Near(t, checks.Check{
			ID:     fmt.Sprintf("nhanes-walk-%g-%g", stage.speed, stage.grade),
			What:   fmt.Sprintf("walking %g mph at %g %%, mL/kg/min", stage.speed, stage.grade),
			Source: source, Class: checks.Published, Want: stage.want, Tol: tol,
		}, WalkingCost(stage.speed*mphTexts, stage.grade))
	}
}

func TestOxygenCostExamples(t *testing.T) {
	const slides = "ACSM Metabolic Equations, teaching slides"
	published := func(id, what, source string, want, tol, got float64) {
		checks.Near(t, checks.Check{ID: "acsm-" + id, What: what, Source: source, Class: checks.Published, Want: want, Tol: tol}, got)
	}
	published("walk-3.5-10", "walking 3.5 mph at 10 %, mL/kg/min", slides, 29.76, 0.005, WalkingCost(3.5*mphTexts, 10))
	published("run-8met", "running 122.5 m/min on the level, MET", "ACSM textbook extract, studylib 8947834", 8, 1e-9, RunningCost(122.5/60, 0)/RestingVO2)
	// 450 kg·m/min; the slides round in between.
	published("cycle-450", "cycling 450 kg·m/min at 62 kg, mL/kg/min", slides, 20, 0.1, CyclingCost(450/kgmPerWattMinute, 62))

	for _, test := range []struct {
		id        string
		want, got float64
	}{
		{"walk-3-0-texts", 11.540, WalkingCost(3*mphTexts, 0)},
		{"walk-3-5-texts", 18.776, WalkingCost(3*mphTexts, 5)},
		{"walk-3-10-texts", 26.012, WalkingCost(3*mphTexts, 10)},
		{"walk-3-0", 11.547, WalkingCost(3*mph, 0)},
		{"walk-3-5", 18.789, WalkingCost(3*mph, 5)},
		{"walk-3-10", 26.031, WalkingCost(3*mph, 10)},
		{"walk-3-0-met", 3.297, WalkingCost(3*mphTexts, 0) / RestingVO2},
		{"walk-3-5-met", 5.365, WalkingCost(3*mphTexts, 5) / RestingVO2},
		{"walk-3-10-met", 7.432, WalkingCost(3*mphTexts, 10) / RestingVO2},
		{"walk-3.5-10-met", 8.504, WalkingCost(3.5*mphTexts, 10) / RestingVO2},
		{"run-6-0", 35.66, RunningCost(6*mphTexts, 0)},
		{"run-6.5-5", 46.179, RunningCost(6.5*mphTexts, 5)},
		{"run-6-0-met", 10.189, RunningCost(6*mphTexts, 0) / RestingVO2},
		{"run-6.5-5-met", 13.194, RunningCost(6.5*mphTexts, 5) / RestingVO2},
		{"cycle-100w-70kg", 22.733, CyclingCost(100, 70)},
		{"cycle-50w-60kg", 16.177, CyclingCost(50, 60)},
		{"cycle-150w-80kg", 27.649, CyclingCost(150, 80)},
		{"cycle-200w-75kg", 36.368, CyclingCost(200, 75)},
	} {
		computed(t, "acsm-"+test.id, "ACSM equation, "+test.id+", mL/kg/min or MET", bushman, checks.Published, test.want, 1e-3, test.got)
	}

	for _, got := range []float64{CyclingCost(100, 0), CyclingCost(100, missing), CyclingCost(missing, 70), WalkingCost(missing, 0), RunningCost(3, missing)} {
		if !math.IsNaN(got) {
			t.Errorf("%v without what it needs, want NaN", got)
		}
	}
}

func TestCostOfGradient(t *testing.T) {
	// The means that the abstract of Minetti et al. 2002 gives, each to its own
	// standard deviation: the polynomials' coefficients are from memory.
	const abstract = "Minetti et al. 2002, abstract (mean, tolerance its SD)"
	for _, test := range []struct {
		id              string
		gait            Gait
		grade, want, sd float64
	}{
		{"run-down-45", Running, -45, 3.92, 0.81},
		{"run-down-20", Running, -20, 1.73, 0.36},
		{"run-level", Running, 0, 3.40, 0.24},
		{"run-up-45", Running, 45, 18.93, 1.74},
		{"walk-down-45", Walking, -45, 3.46, 0.95},
		{"walk-down-10", Walking, -10, 0.81, 0.37},
		{"walk-up-45", Walking, 45, 17.33, 1.11},
	} {
		checks.Near(t, checks.Check{ID: "minetti-" + test.id, What: "cost of gradient, " + test.id + ", J/kg/m",
			Source: abstract, Class: checks.Published, Want: test.want, Tol: test.sd}, costOfGradient(test.gait, test.grade))
	}
	const polynomial = "Minetti et al. 2002, polynomials"
	for _, test := range []struct {
		id          string
		gait        Gait
		grade, want float64
	}{
		{"run-m45", Running, -45, 4.0323}, {"run-m20", Running, -20, 1.8}, {"run-m10", Running, -10, 2.1517},
		{"run-0", Running, 0, 3.6}, {"run-5", Running, 5, 4.6852}, {"run-10", Running, 10, 5.9682},
		{"run-20", Running, 20, 9.0067}, {"run-30", Running, 30, 12.5793}, {"run-45", Running, 45, 19.4260},
		{"walk-m45", Walking, -45, 3.6051}, {"walk-m20", Walking, -20, 1.0867}, {"walk-m10", Walking, -10, 1.1271},
		{"walk-0", Walking, 0, 2.5}, {"walk-5", Walking, 5, 3.5999}, {"walk-10", Walking, 10, 4.8991},
		{"walk-20", Walking, 20, 7.8774}, {"walk-30", Walking, 30, 11.1835}, {"walk-45", Walking, 45, 17.6003},
	} {
		computed(t, "minetti-poly-"+test.id, "cost of gradient, "+test.id+", J/kg/m", polynomial, checks.FromMemory,
			test.want, 1e-4, costOfGradient(test.gait, test.grade))
	}
	// The cheapest gradients, in steps of a hundredth of a percent.
	for _, test := range []struct {
		gait        Gait
		grade, cost float64
	}{{Running, -18.14, 1.7813}, {Walking, -15.25, 0.9355}} {
		cheapest, cost := 0.0, math.Inf(1)
		for i := -4500; i <= 4500; i++ {
			if c := costOfGradient(test.gait, float64(i)/100); c < cost {
				cheapest, cost = float64(i)/100, c
			}
		}
		least := "cheapest gradient, " + string(test.gait)
		computed(t, "minetti-least-at-"+string(test.gait), least+", %", polynomial, checks.FromMemory, test.grade, 0.011, cheapest)
		computed(t, "minetti-least-"+string(test.gait), least+", its cost, J/kg/m", polynomial, checks.FromMemory, test.cost, 1e-4, cost)
	}
	// Running's was measured too, at −10.6 ± 0.5 %; the polynomial's lies lower,
	// and from there on it is flat.
	if costOfGradient(Running, -10.6) > 1.25*costOfGradient(Running, -18.14) {
		t.Error("running down 10.6 % costs a quarter more than at the cheapest")
	}
	if costOfGradient(Running, 80) != costOfGradient(Running, 45) || costOfGradient(Walking, -80) != costOfGradient(Walking, -45) {
		t.Error("grades beyond ±45 % are not held there")
	}
	if !math.IsNaN(costOfGradient(Walking, missing)) {
		t.Error("grade unknown: a cost was invented")
	}
}

// levelCost is the oxygen cost of a course on the level.
func levelCost(speed []float64, sport Gait) []float64 {
	return OxygenCost(speed, held(len(speed), 0), sport, DefaultGaitLimits(sport))
}

func TestOxygenCostGait(t *testing.T) {
	tests := []struct {
		name  string
		sport Gait
		speed float64
		want  func(speed, grade float64) float64
	}{
		{"a runner who walks", Running, 1.5, WalkingCost},
		{"a runner between the limits", Running, 1.8, RunningCost},
		{"a runner", Running, 3, RunningCost},
		{"a walker", Walking, 1.4, WalkingCost},
		{"a fast walker", Walking, 2.1, WalkingCost},
		{"a walker who runs", Walking, 2.5, RunningCost},
	}
	for _, test := range tests {
		cost := levelCost(held(60, test.speed), test.sport)
		for i, got := range cost {
			if want := test.want(test.speed, 0); math.Abs(got-want) > 1e-12 {
				t.Errorf("%s: %v at second %d, want %v", test.name, got, i, want)
				break
			}
		}
	}
}

func TestOxygenCostDoesNotFlicker(t *testing.T) {
	// A slow jog around the speed at which people begin to run, measured with
	// the scatter of positions: one equation throughout.
	rng := rand.New(rand.NewPCG(5, 6))
	speed := filled(3600, func(int) float64 { return max(0, 2.0+0.25*rng.NormFloat64()) })
	cost := levelCost(speed, Running)
	for i, got := range cost {
		if want := RunningCost(speed[i], 0); math.Abs(got-want) > 1e-12 {
			t.Fatalf("second %d at %v m/s: %v, want %v, running", i, speed[i], got, want)
		}
	}

	// Run and walk in turn: the equation changes once at each change.
	turns := filled(600, func(i int) float64 { return []float64{1.4, 2.8}[i/100%2] })
	changes, wasRunning := 0, false
	for i, got := range levelCost(turns, Running) {
		running := math.Abs(got-RunningCost(turns[i], 0)) < 1e-9
		if i > 0 && running != wasRunning {
			changes++
		}
		wasRunning = running
	}
	if changes != 5 {
		t.Errorf("%d changes of equation in 5 changes of gait", changes)
	}
}

func TestOxygenCostGrade(t *testing.T) {
	speed := held(5, 1.3)
	grade := []float64{5, 0, -10, missing, -30}
	speed[1] = missing
	cost := OxygenCost(speed, grade, Walking, DefaultGaitLimits(Walking))
	want := []float64{
		WalkingCost(1.3, 5), missing,
		// Downhill the horizontal part times Cw(−0.1)/Cw(0) = 1.1271/2.5.
		3.5 + 7.8*1.127125/2.5, missing,
		3.5 + 7.8*costOfGradient(Walking, -30)/2.5,
	}
	for i := range want {
		if !closeOrMissing(cost[i], want[i], 1e-5) {
			t.Errorf("second %d: %v, want %v", i, cost[i], want[i])
		}
	}
	if OxygenCost(speed, nil, Walking, DefaultGaitLimits(Walking)) != nil || OxygenCost(nil, grade, Walking, DefaultGaitLimits(Walking)) != nil {
		t.Error("a column that was never measured: a cost was invented")
	}
	keepsInput(t, "OxygenCost", speed, func(c []float64) { OxygenCost(c, grade, Walking, DefaultGaitLimits(Walking)) })
	keepsInput(t, "OxygenCost", grade, func(c []float64) { OxygenCost(speed, c, Walking, DefaultGaitLimits(Walking)) })
}

func TestOxygenCostProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		gait := rapid.SampledFrom([]Gait{Walking, Running}).Draw(t, "gait")
		speed := rapid.Float64Range(0, 5).Draw(t, "speed")
		grade := rapid.Float64Range(-60, 60).Draw(t, "grade")
		cost := OxygenCost([]float64{speed}, []float64{grade}, gait, DefaultGaitLimits(gait))[0]
		if !(cost >= RestingVO2) {
			t.Fatalf("%v mL/kg/min is less than rest", cost)
		}
		// No jump where the downhill rule takes over.
		eps := 1e-9
		up := footCost(gait, speed, eps)
		down := footCost(gait, speed, -eps)
		if math.Abs(up-down) > 1e-6 {
			t.Fatalf("from %v to %v across the level", down, up)
		}
	})
}

func TestGradeFromAltitude(t *testing.T) {
	// 2 m/s; 200 s on the level, then 200 s up 8 %; the altimeter has steps of
	// 0.2 m.
	distance := filled(401, func(i int) float64 { return 2 * float64(i) })
	altitude := filled(401, func(i int) float64 {
		return math.Round((100+0.08*max(0, distance[i]-400))*5) / 5
	})
	grade := GradeFromAltitude(distance, altitude, GradeWindow)
	for _, at := range []struct {
		second    int
		want, tol float64
	}{{0, 0, 0}, {100, 0, 0}, {180, 0, 0}, {200, 4, 0.5}, {220, 8, 0.3}, {300, 8, 0.3}, {400, 8, 0.6}} {
		if got := grade[at.second]; math.Abs(got-at.want) > at.tol {
			t.Errorf("second %d: %v %%, want %v ± %v", at.second, got, at.want, at.tol)
		}
	}
	keepsInput(t, "GradeFromAltitude", altitude, func(c []float64) { GradeFromAltitude(distance, c, GradeWindow) })
}

func TestGradeFromAltitudeGaps(t *testing.T) {
	distance := filled(300, func(i int) float64 { return 2 * float64(i) })
	altitude := filled(300, func(i int) float64 { return 50 + 0.1*float64(i) })
	for i := 100; i < 110; i++ {
		altitude[i] = missing
	}
	grade := GradeFromAltitude(distance, altitude, GradeWindow)
	for i, got := range grade {
		want := 5.0
		if i >= 100 && i < 110 {
			want = missing
		}
		if !closeOrMissing(got, want, 1e-9) {
			t.Fatalf("second %d: %v, want %v", i, got, want)
		}
	}

	// Standing still for an hour while the altimeter drifts: the grade of the
	// place, not of the drift.
	stood := slices.Concat(distance[:150], held(3600, distance[150]), distance[150:])
	drifted := slices.Concat(filled(150, func(i int) float64 { return 0.1 * float64(i) }),
		filled(3600, func(i int) float64 { return 15 + 2*math.Sin(float64(i)/500) }),
		filled(150, func(i int) float64 { return 15 + 0.1*float64(i) }))
	for i, got := range GradeFromAltitude(stood, drifted, GradeWindow) {
		if math.IsNaN(got) || math.Abs(got-5) > 2.5 {
			t.Fatalf("standing, second %d: %v, want near 5", i, got)
		}
	}

	if GradeFromAltitude(nil, altitude, 60) != nil || GradeFromAltitude(distance, nil, 60) != nil {
		t.Error("a column that was never measured: a grade was invented")
	}
	for i, got := range GradeFromAltitude(distance[:10], altitude[:10], GradeWindow) {
		if !math.IsNaN(got) {
			t.Errorf("18 m of way, second %d: %v, want NaN", i, got)
		}
	}
	steep := filled(300, func(i int) float64 { return 5 * float64(i) })
	if got := GradeFromAltitude(distance, steep, GradeWindow)[150]; got != 45 {
		t.Errorf("a wall: %v, want 45", got)
	}
}
