package metrics

import (
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func TestCountsPackExactly(t *testing.T) {
	for _, test := range []struct {
		name   string
		column []float64
		most   int // bytes
	}{
		{"nothing", nil, 1},
		{"heart rate", []float64{71, 72, 72, 180, missing}, 9},
		{"below zero", []float64{-450, 0, 3}, 9},
		{"speed", []float64{0, 1.234, 1.235, 40}, 16},
		{"neither", []float64{0.1 + 0.2, math.Pi, -1e300, math.MaxFloat64}, 40},
	} {
		want := CountValues(test.column)
		packed, err := want.MarshalBinary()
		if err != nil {
			t.Fatal(err)
		}
		if len(packed) > test.most {
			t.Errorf("%s: %d bytes, want at most %d", test.name, len(packed), test.most)
		}
		var got Counts
		if err := got.UnmarshalBinary(packed); err != nil {
			t.Errorf("%s: %v", test.name, err)
		}
		if !slices.Equal(want, got) {
			t.Errorf("%s: packed (-want +got):\n%s", test.name, cmp.Diff(want, got))
		}
	}
}

func TestCountsPackAnyColumn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		perUnit := rapid.SampledFrom([]float64{1, 2, 1000, math.Pi}).Draw(t, "steps a unit")
		var column []float64
		for _, step := range rapid.SliceOfN(rapid.IntRange(-3000, 90000), 0, 200).Draw(t, "steps") {
			column = append(column, float64(step)/perUnit)
		}
		want := CountValues(column)
		if want.Seconds() != len(column) {
			t.Fatalf("counted %d s of %d", want.Seconds(), len(column))
		}
		packed, _ := want.MarshalBinary()
		var got Counts
		if err := got.UnmarshalBinary(packed); err != nil || !slices.Equal(want, got) {
			t.Fatalf("packed: %v (-want +got):\n%s", err, cmp.Diff(want, got))
		}
	})
}

// FuzzCounts holds that damaged bytes are refused and sound ones come back.
func FuzzCounts(f *testing.F) {
	packed, _ := CountValues([]float64{71, 72, 72, 180}).MarshalBinary()
	f.Add(packed)
	f.Add([]byte{0, 1, 2, 3})
	f.Fuzz(func(t *testing.T, packed []byte) {
		var counts, again Counts
		if counts.UnmarshalBinary(packed) != nil {
			return
		}
		repacked, _ := counts.MarshalBinary()
		if err := again.UnmarshalBinary(repacked); err != nil {
			t.Fatal(err)
		}
		for i, c := range counts {
			if c.Seconds != again[i].Seconds || math.Float64bits(c.Value+0) != math.Float64bits(again[i].Value+0) {
				t.Fatalf("value %d: %v became %v", i, c, again[i])
			}
		}
	})
}

func BenchmarkCountValues(b *testing.B) {
	column := make([]float64, 3600)
	for i := range column {
		column[i] = math.Round(8000+1000*math.Sin(float64(i))) / 1000
	}
	for b.Loop() {
		CountValues(column)
	}
}
