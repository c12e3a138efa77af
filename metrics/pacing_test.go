package metrics

import (
	"math"
	"math/rand/v2"
	"testing"
)

// shaped is a bout of n seconds at 200 W times a shape of its share x of time,
// with noise of a coefficient of variation that lasts for tau seconds.
func shaped(n int, shape func(x float64) float64, cv, tau float64, rng *rand.Rand) []float64 {
	keep := 0.0
	if tau > 0 {
		keep = math.Exp(-1 / tau)
	}
	deviation := 0.0
	if rng != nil {
		deviation = rng.NormFloat64()
	}
	return filled(n, func(i int) float64 {
		if rng != nil {
			deviation = keep*deviation + math.Sqrt(1-keep*keep)*rng.NormFloat64()
		}
		return max(0, math.Round(200*shape((float64(i)+0.5)/float64(n))*(1+cv*deviation)))
	})
}

// Shapes of a bout over its share of time.
var (
	levelShape = func(float64) float64 { return 1 }
	// Starts 25 % too high; most of that is gone after a quarter.
	fastShape = func(x float64) float64 { return 1 + 0.25*math.Exp(-x/0.12) }
	// Holds for two thirds, then falls by 15 %.
	fadeShape = func(x float64) float64 { return 1 - 0.15*max(0, x-0.67)/0.33 }
	// Rises by 12 % from start to end.
	buildShape = func(x float64) float64 { return 0.94 + 0.12*x }
	// Rises and falls by 20 %, two and a half times.
	waveShape = func(x float64) float64 { return 1 + 0.2*math.Sin(5*math.Pi*x) }
	// Fast at both ends.
	bowlShape = func(x float64) float64 { return 0.95 + 0.5*(x-0.5)*(x-0.5) }
)

func TestPacingShapes(t *testing.T) {
	tests := []struct {
		name     string
		shape    func(float64) float64
		shortest int // s; below, the edges and the few blocks hide the shape
		want     Pacing
	}{
		{"level", levelShape, 60, Even},
		{"fast", fastShape, 60, FastStart},
		{"fast, then an end spurt", func(x float64) float64 { return fastShape(x) + 0.12*max(0, x-0.75) }, 120, FastStart},
		{"fade", fadeShape, 120, Fade},
		{"a straight decline", func(x float64) float64 { return 1.06 - 0.12*x }, 60, Fade},
		{"build", buildShape, 60, Build},
		{"wave", waveShape, 120, Uneven},
		{"bowl", bowlShape, 120, Uneven},
		{"a decline of 3 % is even", func(x float64) float64 { return 1.015 - 0.03*x }, 60, Even},
	}
	for _, test := range tests {
		for _, n := range []int{60, 120, 240, 480} {
			output := shaped(n, test.shape, 0, 0, nil)
			if got := PacingOf(output, whole(output), DefaultPacingLimits()); n >= test.shortest && got != test.want {
				t.Errorf("%s over %d s: %q, want %q", test.name, n, got, test.want)
			}
		}
	}
}

// How far a decline must bend to be a fast start goes with the least change
// that counts.
func TestPacingBendGoesWithTheLimit(t *testing.T) {
	// A bend of k lifts the outer quarters above the inner by k/4 together.
	declining := func(by, bend float64) []float64 {
		return filled(240, func(i int) float64 {
			x := (float64(i) + 0.5) / 240
			return 200 * (1 - by*(x-0.5) + 4*bend*(x-0.5)*(x-0.5))
		})
	}
	tests := []struct {
		change, by, bend float64
		want             Pacing
	}{
		{5, 0.32, 0.015, FastStart},
		{20, 0.32, 0.015, Fade},
		{20, 0.32, 0.03, FastStart},
		{2, 0.08, 0.004, FastStart},
		{5, 0.08, 0.004, Fade},
	}
	for _, test := range tests {
		limits := DefaultPacingLimits()
		limits.ChangePct = test.change
		output := declining(test.by, test.bend)
		if got := PacingOf(output, whole(output), limits); got != test.want {
			t.Errorf("down %g, bent by %g, limit %g %%: %q, want %q", test.by, test.bend, test.change, got, test.want)
		}
	}
}

func TestPacingUnknown(t *testing.T) {
	gap := held(240, 200)
	for i := 70; i < 140; i++ {
		gap[i] = missing
	}
	tests := []struct {
		name   string
		output []float64
		want   Pacing
	}{
		{"nil", nil, UnknownPacing},
		{"39 s", held(39, 200), UnknownPacing},
		{"40 s", held(40, 200), Even},
		{"a quarter missing", gap, UnknownPacing},
		{"all missing", held(240, missing), UnknownPacing},
		{"zero", held(240, 0), UnknownPacing},
		{"ramped edges", append(append([]float64{0, 50, 100, 150}, held(52, 200)...), 150, 100, 50, 0), Even},
	}
	for _, test := range tests {
		if got := PacingOf(test.output, whole(test.output), DefaultPacingLimits()); got != test.want {
			t.Errorf("%s: %q, want %q", test.name, got, test.want)
		}
	}
}

// namedShare is the share of trials in which a shape under noise gets the
// word.
func namedShare(shape func(float64) float64, n int, cv, tau float64, word Pacing) float64 {
	rng := rand.New(rand.NewPCG(7, uint64(n)))
	const trials = 300
	named := 0
	for range trials {
		output := shaped(n, shape, cv, tau, rng)
		if PacingOf(output, whole(output), DefaultPacingLimits()) == word {
			named++
		}
	}
	return float64(named) / trials
}

func TestPacingUnderNoise(t *testing.T) {
	// Noise of output from one second to the next: on a trainer 5 %, lasting
	// for one second or several; outdoors 30 %. The shares asked for leave room
	// below what was measured when the limits were chosen.
	tests := []struct {
		name    string
		shape   func(float64) float64
		n       int
		cv, tau float64
		word    Pacing
		least   float64
	}{
		{"level, trainer, 1 min", levelShape, 60, 0.05, 1, Even, 0.95},
		{"level, trainer, 4 min", levelShape, 240, 0.05, 1, Even, 0.99},
		{"level, trainer, lasting, 4 min", levelShape, 240, 0.05, 8, Even, 0.75},
		{"level, outdoors, 1 min", levelShape, 60, 0.30, 0, Even, 0.85},
		{"level, outdoors, 4 min", levelShape, 240, 0.30, 0, Even, 0.92},
		{"level, outdoors, 8 min", levelShape, 480, 0.30, 0, Even, 0.92},
		{"level, outdoors, lasting, 4 min", levelShape, 240, 0.30, 1, Even, 0.75},
		{"fast, trainer, 4 min", fastShape, 240, 0.05, 1, FastStart, 0.97},
		{"fade, trainer, 4 min", fadeShape, 240, 0.05, 1, Fade, 0.97},
		{"fade, trainer, lasting, 4 min", fadeShape, 240, 0.05, 5, Fade, 0.60},
		{"build, trainer, 4 min", buildShape, 240, 0.05, 1, Build, 0.97},
		{"wave, trainer, 4 min", waveShape, 240, 0.05, 1, Uneven, 0.97},
		{"wave, outdoors, 8 min", waveShape, 480, 0.30, 0, Uneven, 0.75},
	}
	for _, test := range tests {
		share := namedShare(test.shape, test.n, test.cv, test.tau, test.word)
		t.Logf("%s: %q in %.0f %% of trials", test.name, test.word, 100*share)
		if share < test.least {
			t.Errorf("%s: %q in %.0f %% of trials, want at least %.0f %%", test.name, test.word, 100*share, 100*test.least)
		}
	}
}
