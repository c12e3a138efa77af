package metrics

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestCleanDistance(t *testing.T) {
	way := func(n int) []float64 { return filled(n, func(i int) float64 { return 3 * float64(i) }) }
	with := func(col []float64, from int, values ...float64) []float64 {
		out := slices.Clone(col)
		copy(out[from:], values)
		return out
	}
	none := func(n int) []float64 { return held(n, missing) }
	tunnel := func(after float64) []float64 {
		return slices.Concat(way(31), held(59, 90), filled(30, func(i int) float64 { return after + 3*float64(i) }))
	}
	tests := []struct {
		name   string
		times  []int64
		col    []float64
		want   []float64
		spikes int
	}{
		{"nothing amiss", everySecond(60), way(60), way(60), 0},
		{"one sample of 900 km", everySecond(60), with(way(60), 30, 9e5), with(way(60), 30, missing), 1},
		{"one sample of nothing", everySecond(60), with(way(60), 30, 0), with(way(60), 30, missing), 1},
		{"three that agree in nothing", everySecond(60), with(way(60), 30, 9e5, 0, 7e5), with(way(60), 30, none(3)...), 3},
		{"two metres taken back", everySecond(60), with(way(60), 30, 85), with(way(60), 30, missing), 1},
		{"the first sample", everySecond(60), with(way(60), 0, 9e5), with(way(60), 0, missing), 1},
		// There is nothing to tell by but the second before it.
		{"the last sample", everySecond(60), with(way(60), 59, 9e5), way(60), 0},
		{"a sample every 10 s, one of 900 km", at(0, 10, 20, 30, 40), []float64{0, 30, 9e5, 90, 120}, []float64{0, 30, missing, 90, 120}, 1},
		{"begun anew", everySecond(60), slices.Concat(way(30), way(30)), way(60), 0},
		{"begun anew twice", everySecond(90), slices.Concat(way(30), way(30), way(30)), way(90), 0},
		{"begun anew in the same instant", at(0, 1, 2, 2, 3, 4, 5, 6, 7, 8), []float64{50, 53, 56, 0, 3, 6, 9, 12, 15, 18},
			[]float64{50, 53, 56, 56, 59, 62, 65, 68, 71, 74}, 0},
		{"begun anew after a pause", at(0, 1, 2, 60, 61, 62, 63, 64, 65), []float64{500, 503, 506, 0, 3, 6, 9, 12, 15},
			[]float64{500, 503, 506, 506, 509, 512, 515, 518, 521}, 0},
		{"begun anew while standing", everySecond(20), slices.Concat(held(10, 400), held(10, 0)), held(20, 400), 0},
		{"begun anew near the end", everySecond(33), slices.Concat(way(30), way(3)), way(33), 0},
		{"a way caught up with stays", everySecond(120), tunnel(270), tunnel(270), 0},
		{"caught up with over five seconds", everySecond(12), []float64{900, 903, 906, 909, 940, 965, 985, 1010, 1013, 1016, 1019, 1022},
			[]float64{900, 903, 906, 909, 940, 965, 985, 1010, 1013, 1016, 1019, 1022}, 0},
		{"caught up with at once", everySecond(8), []float64{900, 903, 906, 921, 924, 927, 930, 933}, []float64{900, 903, 906, 921, 924, 927, 930, 933}, 0},
		{"driven home", everySecond(90), filled(90, func(i int) float64 { return 3*float64(i) + 17*max(0, float64(i)-60) }),
			filled(90, func(i int) float64 { return 3*float64(i) + 17*max(0, float64(i)-60) }), 0},
		{"further than anybody can be", everySecond(120), tunnel(9e5), tunnel(90), 0},
		{"a wrong value held for 10 s", everySecond(60), with(way(60), 30, held(10, 9e5)...), with(way(60), 30, held(10, 90)...), 0},
		{"nothing held for 10 s", everySecond(60), with(way(60), 30, held(10, 0)...), with(way(60), 30, held(10, 90)...), 0},
		{"a wrong count for 10 s", everySecond(60), slices.Concat(way(30), way(10), filled(20, func(i int) float64 { return 120 + 3*float64(i) })), way(60), 0},
		{"a lone sample", everySecond(1), []float64{500}, []float64{500}, 0},
		{"only missing", everySecond(3), none(3), none(3), 0},
		{"nothing", nil, nil, nil, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			in := Columns{TimeMS: tt.times, Channels: Channels{Distance: tt.col}}
			out, repairs := cleanColumns(in, true)
			if !slices.EqualFunc(out.Distance, tt.want, equalOrMissing) {
				t.Errorf("%v, want %v", out.Distance, tt.want)
			}
			if got := repairs["distance"].Total(); got != tt.spikes {
				t.Errorf("%d taken away, want %d", got, tt.spikes)
			}
		})
	}
}

// Whatever a device wrote, a cleaned distance never falls and stays within its
// bounds, and what it lost is counted.
func TestCleanDistanceProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 60).Draw(t, "n")
		times := make([]int64, n)
		now := epochMS
		for i := range times {
			times[i] = now
			now += rapid.SampledFrom([]int64{0, 100, 1000, 1000, 5000, 60_000, 3600_000}).Draw(t, "step")
		}
		values := rapid.OneOf(rapid.Float64Range(0, 100), rapid.Float64Range(0, 2e6),
			rapid.SampledFrom([]float64{missing, math.Inf(1), math.Inf(-1), -1, 0, 2e6, 3e6}))
		col := rapid.SliceOfN(values, n, n).Draw(t, "values")
		out, repairs := cleanColumns(Columns{TimeMS: times, Channels: Channels{Distance: col}}, rapid.Bool().Draw(t, "on foot"))
		last := 0.0
		for i, v := range out.Distance {
			if v < last || v > 2e6 {
				t.Fatalf("%g after %g in sample %d", v, last, i)
			}
			if !math.IsNaN(v) {
				last = v
			}
		}
		if lost := countValid(col) - countValid(out.Distance); lost != repairs["distance"].Total() {
			t.Fatalf("%d lost, %+v counted", lost, repairs["distance"])
		}
	})
}

// What is measured over distance outlives one false sample, and a count that
// begins anew.
func TestGradeAndSpeedOfAFalseDistance(t *testing.T) {
	const n = 1200
	altitude := filled(n, func(i int) float64 { return 100 + 0.15*float64(i) })
	for name, spoil := range map[string]func(col []float64){
		"one sample of 900 km":  func(col []float64) { col[100] = 9e5 },
		"one sample of nothing": func(col []float64) { col[700] = 0 },
		"begun anew": func(col []float64) {
			for i := 600; i < n; i++ {
				col[i] -= 1800
			}
		},
	} {
		distance := filled(n, func(i int) float64 { return 3 * float64(i) })
		spoil(distance)
		tr, _ := BuildTrace(Columns{TimeMS: everySecond(n), Channels: Channels{Distance: distance, Altitude: altitude}}, true)
		for i, g := range GradeFromAltitude(tr.Distance, tr.Altitude, GradeWindow) {
			if !(math.Abs(g-5) < 0.5) {
				t.Errorf("%s: %g %% in second %d, want 5", name, g, i)
				break
			}
		}
		for i, v := range tr.Speed {
			if !(math.Abs(v-3) < 1e-9) {
				t.Errorf("%s: %g m/s in second %d, want 3", name, v, i)
				break
			}
		}
	}
}
