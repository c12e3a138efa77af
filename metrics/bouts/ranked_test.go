package bouts

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestRankedIsSorted(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// Few different values, so that many are equal.
		x := rapid.SliceOfN(rapid.Float64Range(-3, 3), 1, 60).Draw(t, "x")
		if rapid.Bool().Draw(t, "coarse") {
			for i := range x {
				x[i] = float64(int(x[i]))
			}
		}
		place := rapid.IntRange(0, len(x)-1).Draw(t, "place")
		want := slices.Sorted(slices.Values(x))[place]
		if got := ranked(x, place); got != want {
			t.Fatalf("%v, want %v", got, want)
		}
	})
}
