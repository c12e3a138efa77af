package bouts

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"
)

// rounds is a plain session: warm-up, n bouts of work seconds with as much
// rest, cool-down; noise of five percent.
func rounds(n, work int, seed uint64) []float64 {
	rng := rand.New(rand.NewPCG(seed, 7))
	var level []float64
	stretch := func(seconds int, value float64) {
		for range seconds {
			level = append(level, value)
		}
	}
	stretch(600, 100)
	for range n {
		stretch(work, 200)
		stretch(work, 100)
	}
	stretch(300, 90)
	for i := range level {
		level[i] *= 1 + 0.05*rng.NormFloat64()
	}
	return level
}

func find(values []float64) []Bout {
	return Find(Input{Signal: Power, Values: values}, DefaultSettings())
}

func TestPlainRounds(t *testing.T) {
	for _, c := range []struct{ n, work int }{{4, 180}, {5, 60}, {8, 240}} {
		found := find(rounds(c.n, c.work, 1))
		if len(found) != c.n {
			t.Fatalf("%d x %d s: found %d", c.n, c.work, len(found))
		}
		for k, b := range found {
			start := float64(600 + 2*c.work*k)
			if math.Abs(b.Start-start) > 1.5 || math.Abs(b.End-start-float64(c.work)) > 1.5 || b.Confidence != Confirmed {
				t.Errorf("%d x %d s: bout %d is %+v", c.n, c.work, k+1, b)
			}
		}
	}
}

// Bouts do not depend on the unit of the signal, move with the session when
// easy riding is put before it, are in order, and leave the input as it was.
func TestInvariances(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		values := rounds(rapid.IntRange(3, 6).Draw(rt, "rounds"), rapid.IntRange(60, 300).Draw(rt, "work"), rapid.Uint64().Draw(rt, "seed"))
		before := slices.Clone(values)
		found := find(values)
		if !slices.Equal(before, values) {
			rt.Fatal("the input was changed")
		}
		previous := 0.0
		for _, b := range found {
			if b.Start < previous || b.End <= b.Start || b.End > float64(len(values)) || b.StartHalf < 0 || b.EndHalf < 0 {
				rt.Fatalf("out of order or out of bounds: %+v", found)
			}
			previous = b.End
		}
		scaled := slices.Clone(values)
		for i := range scaled {
			scaled[i] *= 0.0625 // a power of two: exact
		}
		if diff := cmp.Diff(found, find(scaled), cmpopts.EquateApprox(0, 1e-6)); diff != "" {
			rt.Fatalf("another unit gives other bouts:\n%s", diff)
		}
	})
}

// A session without work of its own has no bouts, whatever its values.
func TestNothingToFind(t *testing.T) {
	constant := make([]float64, 3600)
	steady := make([]float64, 3600)
	missing := make([]float64, 3600)
	rng := rand.New(rand.NewPCG(4, 2))
	for i := range steady {
		constant[i], steady[i], missing[i] = 120, 120*(1+0.06*rng.NormFloat64()), math.NaN()
	}
	for name, values := range map[string][]float64{"nil": nil, "one second": {200}, "constant": constant, "steady": steady, "missing": missing, "zero": make([]float64, 3600)} {
		if found := find(values); len(found) > 0 {
			t.Errorf("%s: found %+v", name, found)
		}
	}
}

// Nonsense must not panic.
func TestNonsenseIsBorne(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		value := rapid.OneOf(rapid.Float64Range(-10, 2500), rapid.Just(math.NaN()), rapid.Just(0.0))
		in := Input{
			Signal: rapid.SampledFrom([]Signal{Power, OxygenCost, Speed, HeartRate}).Draw(rt, "signal"),
			Values: rapid.SliceOfN(value, 0, 400).Draw(rt, "values"),
		}
		in.Recorded = rapid.SliceOfN(rapid.Bool(), len(in.Values), len(in.Values)).Draw(rt, "recorded")
		in.Observed = rapid.SliceOfN(rapid.Bool(), len(in.Values), len(in.Values)).Draw(rt, "observed")
		for _, b := range Find(in, DefaultSettings()) {
			if math.IsNaN(b.Start) || math.IsNaN(b.End) || math.IsNaN(b.Score) {
				rt.Fatalf("not a number in %+v", b)
			}
		}
	})
}
