package bouts_test

import (
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"boutwise/metrics/bouts"
	"boutwise/metrics/synthetic"
)

// find is the finder as it comes.
func find(in bouts.Input) []bouts.Bout { return bouts.Find(in, bouts.DefaultSettings()) }

// any scenario and seed, as an input.
func anySession(t *rapid.T) synthetic.Session {
	sc := rapid.SampledFrom(synthetic.Scenarios()).Draw(t, "scenario")
	return sc.Session(rapid.Uint64Range(0, 300).Draw(t, "seed"))
}

// sameBouts compares up to rounding.
var sameBouts = cmp.Options{cmpopts.EquateApprox(1e-6, 1e-4)}

func TestScaleDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := anySession(t).Input()
		if in.Signal == bouts.OxygenCost {
			t.Skip("oxygen cost has a zero of its own")
		}
		want := find(in)
		// A power of two, so that rounding is the same.
		factor := math.Exp2(float64(rapid.IntRange(-3, 3).Draw(t, "exponent")))
		scaled := in
		scaled.Values = make([]float64, len(in.Values))
		for i, v := range in.Values {
			scaled.Values[i] = factor * v
		}
		if in.Signal == bouts.HeartRate {
			t.Skip("the noise of a heart rate is known in beats")
		}
		if diff := cmp.Diff(want, find(scaled), sameBouts); diff != "" {
			t.Fatalf("values times %v give other bouts (-want +got)\n%s", factor, diff)
		}
	})
}

func TestEasyMinutesBeforeOnlyShiftBouts(t *testing.T) {
	// On plain sessions: what lies before may change what a doubtful set is
	// worth, but not where a plain one lies.
	for _, name := range []string{"trainer rounds", "trainer bursts", "pace rounds"} {
		sc := scenario(t, name)
		for seed := range uint64(5) {
			in := sc.Session(seed).Input()
			want := find(in)
			const shift = 600
			padded := bouts.Input{Signal: in.Signal}
			for i := range shift {
				// The first minute again and again.
				padded.Values = append(padded.Values, in.Values[i%60])
			}
			padded.Values = append(padded.Values, in.Values...)
			got := find(padded)
			if len(got) != len(want) {
				t.Fatalf("%s seed %d: %d bouts after padding, %d before", name, seed, len(got), len(want))
			}
			for k := range want {
				if math.Abs(got[k].Start-want[k].Start-shift) > 2 || math.Abs(got[k].End-want[k].End-shift) > 2 {
					t.Errorf("%s seed %d: bout %d moved from [%.1f, %.1f) to [%.1f, %.1f)", name, seed, k,
						want[k].Start, want[k].End, got[k].Start, got[k].End)
				}
			}
		}
	}
}

// scenario finds a kind of session by its name.
func scenario(t *testing.T, name string) synthetic.Scenario {
	t.Helper()
	all := synthetic.Scenarios()
	k := slices.IndexFunc(all, func(s synthetic.Scenario) bool { return s.Name == name })
	if k < 0 {
		t.Fatalf("no scenario %q", name)
	}
	return all[k]
}

func TestBoutsAreInOrderAndApart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		session := anySession(t)
		in := session.Input()
		previous := 0.0
		for k, b := range find(in) {
			if b.Start < previous || b.End <= b.Start || b.End > float64(len(in.Values)) {
				t.Fatalf("%s seed %d: bout %d is [%v, %v) after %v", session.Scenario, session.Seed, k, b.Start, b.End, previous)
			}
			if !(b.Score >= 0 && b.Score <= 1) || !(b.StartHalf > 0) || !(b.EndHalf > 0) {
				t.Fatalf("%s seed %d: bout %d: %+v", session.Scenario, session.Seed, k, b)
			}
			previous = b.End
		}
	})
}

func TestInputStaysAsItIs(t *testing.T) {
	for _, sc := range synthetic.Scenarios() {
		in := sc.Session(3).Input()
		want := bouts.Input{
			Signal: in.Signal, Values: slices.Clone(in.Values), Recorded: slices.Clone(in.Recorded),
			Observed: slices.Clone(in.Observed), Altitude: slices.Clone(in.Altitude), HeartRate: slices.Clone(in.HeartRate),
		}
		first := find(in)
		if diff := cmp.Diff(want, in, cmpopts.EquateNaNs()); diff != "" {
			t.Errorf("%s: the input was changed (-want +got)\n%s", sc.Name, diff)
		}
		if diff := cmp.Diff(first, find(in)); diff != "" {
			t.Errorf("%s: a second look gives other bouts (-first +second)\n%s", sc.Name, diff)
		}
	}
}

func TestAnyValuesAreSurvived(t *testing.T) {
	value := rapid.OneOf(
		rapid.Float64Range(0, 400), rapid.Just(math.NaN()), rapid.Just(0.0), rapid.Just(math.Inf(1)),
		rapid.Just(-50.0), rapid.Just(1e12), rapid.Just(150.0))
	rapid.Check(t, func(t *rapid.T) {
		runs := rapid.SliceOfN(value, 0, 40).Draw(t, "values")
		length := rapid.IntRange(1, 120).Draw(t, "length")
		in := bouts.Input{Signal: rapid.SampledFrom([]bouts.Signal{
			bouts.Power, bouts.OxygenCost, bouts.Speed, bouts.HeartRate}).Draw(t, "signal")}
		for _, v := range runs {
			for range length {
				in.Values = append(in.Values, v)
			}
		}
		for _, b := range find(in) {
			if math.IsNaN(b.Start) || math.IsNaN(b.End) || b.End <= b.Start {
				t.Fatalf("bout %+v", b)
			}
		}
	})
}

func TestNothingIsFoundInNothing(t *testing.T) {
	constant := make([]float64, 3600)
	missing := make([]float64, 3600)
	for i := range constant {
		constant[i], missing[i] = 150, math.NaN()
	}
	for name, values := range map[string][]float64{
		"empty": nil, "one second": {200}, "constant": constant, "missing": missing, "zero": make([]float64, 3600),
	} {
		for _, signal := range []bouts.Signal{bouts.Power, bouts.OxygenCost, bouts.Speed, bouts.HeartRate} {
			if got := find(bouts.Input{Signal: signal, Values: values}); len(got) > 0 {
				t.Errorf("%s %s: found %+v", name, signal, got)
			}
		}
	}
}

// TestAcceptTrades holds that the one setting does what it says.
func TestAcceptTrades(t *testing.T) {
	sc := scenario(t, "outdoor irregular")
	counts := map[float64]int{}
	for seed := range uint64(20) {
		in := sc.Session(seed).Input()
		for _, accept := range []float64{0.2, 0.5, 0.95} {
			s := bouts.DefaultSettings()
			s.Accept = accept
			for _, b := range bouts.Find(in, s) {
				if b.Confidence == bouts.Confirmed {
					counts[accept]++
				}
			}
		}
	}
	if counts[0.2] <= counts[0.95] || counts[0.5] > counts[0.2] || counts[0.95] > counts[0.5] {
		t.Errorf("confirmed bouts by setting: %v, want fewer the higher it is", counts)
	}
}
