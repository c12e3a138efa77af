package synthetic

import (
	"math"
	"testing"
)

// constant is n seconds of one demand.
func constant(n int, v float64) []float64 {
	d := make([]float64, n)
	for i := range d {
		d[i] = v
	}
	return d
}

// The mono-exponential's own figures: 63.2 % of the way after one time
// constant, 95 % after 2.9957 of them; at a time constant of 44 s, 0.744271 of
// the way after a minute.
func TestResponseIsMonoExponential(t *testing.T) {
	k := Kinetics{TauOn: 44, TauOff: 60}
	rate := k.Response(constant(600, 1), 0)
	for _, tt := range []struct{ after, want float64 }{
		{44, 1 - math.Exp(-1)}, {60, 0.744271}, {131.812, 0.95},
	} {
		// Second i holds the rate at the end of it.
		i := int(math.Round(tt.after)) - 1
		if math.Abs(rate[i]-tt.want) > 0.003 {
			t.Errorf("after %.0f s %.4f of the way, want %.4f", tt.after, rate[i], tt.want)
		}
	}
	falling := k.Response(constant(600, 0), 1)
	if got, want := falling[59], math.Exp(-1); math.Abs(got-want) > 1e-9 {
		t.Errorf("after one time constant of falling %.4f is left, want %.4f", got, want)
	}
}

func TestResponseWaitsForTheDelay(t *testing.T) {
	rate := Kinetics{TauOn: 30, TauOff: 30, Delay: 10.5}.Response(constant(60, 160), 100)
	if rate[9] != 100 {
		t.Errorf("the rate moved to %v before the delay", rate[9])
	}
	if rate[12] <= 100 {
		t.Errorf("the rate is still %v after it", rate[12])
	}
}

func TestDriftBeginsAfterTenMinutes(t *testing.T) {
	rate := Kinetics{DriftPerHour: 12}.Response(constant(4200+1, 140), 140)
	if rate[600] != 140 {
		t.Errorf("%v after ten minutes, want 140", rate[600])
	}
	if math.Abs(rate[4200]-152) > 1e-9 {
		t.Errorf("%v an hour later, want 152", rate[4200])
	}
}

func TestResponseWithoutTimeConstantsFollows(t *testing.T) {
	demand := []float64{100, 150, 120}
	for i, v := range (Kinetics{}).Response(demand, 100) {
		if v != demand[i] {
			t.Errorf("second %d: %v, want %v", i, v, demand[i])
		}
	}
	if got := (Kinetics{TauOn: 40}).Response(nil, 100); len(got) != 0 {
		t.Errorf("%d seconds of nothing", len(got))
	}
}

// First-order noise has the standard deviation it was asked for, and a
// correlation of exp(-1/tau) from second to second.
func TestAR1IsWhatItSays(t *testing.T) {
	a := AR1{SD: 10, TimeConstant: 5}
	x := a.Series(NewRand(1, 1), 200000)
	sum, square, lag := 0.0, 0.0, 0.0
	for i, v := range x {
		sum += v
		square += v * v
		if i > 0 {
			lag += v * x[i-1]
		}
	}
	if mean := sum / float64(len(x)); math.Abs(mean) > 0.3 {
		t.Errorf("mean %.2f, want 0", mean)
	}
	if sd := math.Sqrt(square / float64(len(x))); math.Abs(sd-10) > 0.3 {
		t.Errorf("standard deviation %.2f, want 10", sd)
	}
	if phi := lag / square; math.Abs(phi-math.Exp(-0.2)) > 0.01 {
		t.Errorf("correlation %.3f, want %.3f", phi, math.Exp(-0.2))
	}
}

func TestNewRandRepeats(t *testing.T) {
	a, b, c := NewRand(7, 1), NewRand(7, 1), NewRand(7, 2)
	x, y, z := a.Uint64(), b.Uint64(), c.Uint64()
	if x != y || x == z {
		t.Errorf("seed and stream give %d, %d and another stream %d", x, y, z)
	}
}
