package metrics

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// workoutHeart is a heart rate that follows rounds of work, unrounded.
func workoutHeart(n int) []float64 {
	rate, col := 80.0, make([]float64, n)
	for i := range col {
		target := 105.0
		if i > 600 && (i-600)%420 < 240 {
			target = 155
		}
		rate += (target - rate) / 35
		col[i] = rate
	}
	return col
}

// measured is what a sensor makes of a column: noise of the given size,
// a constant error, whole steps.
func measured(rng *rand.Rand, col []float64, noise, bias float64) []float64 {
	return filled(len(col), func(i int) float64 { return math.Round(col[i] + bias + noise*rng.NormFloat64()) })
}

// traceOf is a trace that was recorded throughout.
func traceOf(start int64, c Channels) *Trace {
	tr := &Trace{StartUnix: start, Channels: c}
	for _, spec := range ChannelSpecs {
		tr.N = max(tr.N, len(*spec.Column(&c)))
	}
	tr.Recorded, tr.Observed = yes(tr.N), yes(tr.N)
	return tr
}

// A second device on the same heart: its own noise, a constant error, its
// clock ahead by lag, started a little later and stopped earlier.
func TestClockLagIsRecovered(t *testing.T) {
	heart := workoutHeart(3600)
	rng := rand.New(rand.NewPCG(1, 2))
	a := traceOf(1_750_000_000, Channels{HeartRate: measured(rng, heart, 1.5, 0)})
	for lag := -90; lag <= 90; lag++ {
		late := 45
		b := traceOf(a.StartUnix+int64(late+lag), Channels{HeartRate: measured(rng, heart[late:3300], 1.5, 4)})
		if got := ClockLag(a, b); got != lag {
			t.Errorf("lag %d found as %d", lag, got)
		}
		if lag%30 == 0 {
			if got := ClockLag(b, a); got != -lag {
				t.Errorf("lag %d found as %d from the other side", lag, got)
			}
		}
	}
}

// Barometers and satellites differ by tens of metres: on a climb without end
// that must not pass for a lag.
func TestClockLagIgnoresAConstantError(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	climb := filled(1800, func(i int) float64 { return 200 + 0.15*float64(i) + 8*math.Sin(float64(i)/70) })
	a := traceOf(1000, Channels{Altitude: climb})
	b := traceOf(1012, Channels{Altitude: measured(rng, climb, 0.3, 30)})
	if got := ClockLag(a, b); got != 12 {
		t.Errorf("lag 12 found as %d", got)
	}
}

func TestClockLagWithoutEvidence(t *testing.T) {
	heart := workoutHeart(1200)
	partly := func(n int) []float64 { return slices.Concat(heart[:n], held(1200-n, missing)) }
	tests := []struct {
		name string
		a, b Channels
	}{
		{"no shared channel", Channels{HeartRate: heart}, Channels{Power: held(1200, 150)}},
		{"nothing at all", Channels{}, Channels{}},
		{"cadence does not count", Channels{Cadence: heart}, Channels{Cadence: heart[7:]}},
		{"all missing", Channels{HeartRate: held(1200, missing)}, Channels{HeartRate: heart}},
		{"too little shared", Channels{HeartRate: partly(119)}, Channels{HeartRate: heart}},
		{"a treadmill that never changes", Channels{Speed: held(1200, 2.777)}, Channels{Speed: held(1200, 2.778)}},
		{"both held", Channels{Speed: held(1200, 2.777)}, Channels{Speed: held(1200, 2.777)}},
	}
	for _, tt := range tests {
		if got := ClockLag(traceOf(500, tt.a), traceOf(500, tt.b)); got != 0 {
			t.Errorf("%s: %d", tt.name, got)
		}
	}
	if got := ClockLag(traceOf(0, Channels{HeartRate: heart}), traceOf(1e9, Channels{HeartRate: heart})); got != 0 {
		t.Errorf("workouts years apart: %d", got)
	}
}

// Two sensors that overlap only when shifted far say nothing, however many
// seconds they would then share.
func TestClockLagIsNotDrawnToOverlap(t *testing.T) {
	heart := workoutHeart(1200)
	speed := filled(1200, func(i int) float64 { return 2 + float64(i%90)/100 })
	a := traceOf(0, Channels{HeartRate: heart, Speed: slices.Concat(speed[:200], held(1000, missing))})
	b := traceOf(5, Channels{HeartRate: heart, Speed: slices.Concat(held(190, missing), speed[190:])})
	if got := ClockLag(a, b); got != 5 {
		t.Errorf("lag 5 found as %d", got)
	}
}

func TestMergeTraces(t *testing.T) {
	count := func(from, n int) []float64 { return filled(n, func(i int) float64 { return float64(from + i) }) }
	a := traceOf(1000, Channels{HeartRate: slices.Concat(held(6, missing), count(106, 4)), Power: count(200, 10), Cadence: count(60, 10)})
	b := traceOf(1005, Channels{HeartRate: count(100, 10), Power: count(300, 10), Temperature: count(10, 10), Speed: held(10, missing)})
	b.Observed[3] = false
	heart, power := slices.Clone(a.HeartRate), slices.Clone(b.Power)

	// b's clock is 5 s ahead: its seconds are a's.
	merged, fromA, fromB := MergeTraces(a, b, 5)
	if !slices.Equal(fromA, []string{"power", "cadence"}) || !slices.Equal(fromB, []string{"heart_rate", "temperature"}) {
		t.Errorf("from a: %v, from b: %v", fromA, fromB)
	}
	if !slices.Equal(merged.HeartRate, count(100, 10)) || !slices.Equal(merged.Temperature, count(10, 10)) {
		t.Errorf("heart rate %v, temperature %v", merged.HeartRate, merged.Temperature)
	}
	if !slices.Equal(merged.Power, a.Power) || !slices.Equal(merged.Cadence, a.Cadence) || merged.Speed != nil {
		t.Errorf("power %v, cadence %v, speed %v", merged.Power, merged.Cadence, merged.Speed)
	}
	if merged.StartUnix != 1000 || merged.N != 10 || !slices.Equal(merged.Observed, a.Observed) {
		t.Errorf("start %d, %d seconds, observed %v", merged.StartUnix, merged.N, merged.Observed)
	}
	if !slices.EqualFunc(a.HeartRate, heart, equalOrMissing) || !slices.Equal(b.Power, power) || a.Temperature != nil {
		t.Error("an input was changed")
	}
}

// Shifts of a few seconds cut off what lies outside a's time and leave the
// rest missing: clocks are no better than that.
func TestMergeTracesShifts(t *testing.T) {
	for shift := -12; shift <= 12; shift++ {
		a := traceOf(1000, Channels{HeartRate: held(10, 100)})
		b := traceOf(1000+int64(shift), Channels{Power: filled(10, func(i int) float64 { return float64(i) })})
		merged, _, fromB := MergeTraces(a, b, 0)
		if shared := max(0, 10-max(shift, -shift)); countValid(merged.Power) != shared || (len(fromB) == 1) != (shared > 0) {
			t.Errorf("shift %d: %v from %v", shift, merged.Power, fromB)
		}
		for i, v := range merged.Power {
			if !math.IsNaN(v) && v != float64(i-shift) {
				t.Errorf("shift %d: %g W in second %d", shift, v, i)
			}
		}
	}
}

// The seconds that hold a sample are those of the device that gave the
// output: its straight lines are what a boundary finder has to undo.
func TestMergeTracesMasksFollowTheOutput(t *testing.T) {
	a := traceOf(0, Channels{HeartRate: held(6, 100)})
	a.Recorded[1], a.Observed[1] = false, false
	b := traceOf(0, Channels{Power: held(4, 200)})
	b.Observed[2] = false
	merged, _, _ := MergeTraces(a, b, 0)
	if want := []bool{true, true, false, true, true, true}; !slices.Equal(merged.Observed, want) {
		t.Errorf("observed %v, want %v", merged.Observed, want)
	}
	if !slices.Equal(merged.Recorded, yes(6)) {
		t.Errorf("recorded %v", merged.Recorded)
	}
	if a.Recorded[1] || a.Observed[1] {
		t.Error("a was changed")
	}
	// Of even channels a's are kept, masks and all.
	same, _, fromB := MergeTraces(b, b, 0)
	if len(fromB) != 0 || !slices.Equal(same.Observed, b.Observed) {
		t.Errorf("merged with itself: %v from b", fromB)
	}
}

// What a second device recorded before and after the first is kept, on the
// first one's clock.
func TestMergeTracesKeepsBothEnds(t *testing.T) {
	heart := quantise(workoutHeart(1200), 1)
	a := traceOf(1300, Channels{HeartRate: heart[300:900], Power: held(600, 200)})
	b := traceOf(1007, Channels{HeartRate: heart, Cadence: held(1200, 80)}) // 7 s ahead
	merged, fromA, fromB := MergeTraces(a, b, 7)
	if merged.StartUnix != 1000 || merged.N != 1200 || merged.RecordedSeconds() != 1200 {
		t.Fatalf("from %d, %d seconds, %d recorded", merged.StartUnix, merged.N, merged.RecordedSeconds())
	}
	if !slices.Equal(merged.HeartRate, heart) || countValid(merged.Power) != 600 || merged.Power[300] != 200 || countValid(merged.Cadence) != 1200 {
		t.Errorf("%d seconds of heart rate, %d of power, %d of cadence", countValid(merged.HeartRate), countValid(merged.Power), countValid(merged.Cadence))
	}
	if !slices.Equal(fromA, []string{"power"}) || !slices.Equal(fromB, []string{"heart_rate", "cadence"}) {
		t.Errorf("from a: %v, from b: %v", fromA, fromB)
	}

	// One after the other, with a short time in common: each gives its part.
	early, late := traceOf(0, Channels{HeartRate: heart[:700]}), traceOf(500, Channels{HeartRate: heart[500:]})
	merged, fromA, fromB = MergeTraces(early, late, 0)
	if merged.N != 1200 || !slices.Equal(merged.HeartRate, heart) || len(fromA) != 1 || len(fromB) != 1 {
		t.Errorf("%d seconds from %v and %v", merged.N, fromA, fromB)
	}
	swapped, _, _ := MergeTraces(late, early, 0)
	if swapped.StartUnix != 0 || !slices.Equal(swapped.HeartRate, heart) {
		t.Errorf("the other way round: from %d, %d seconds", swapped.StartUnix, swapped.N)
	}
}

// Less than a minute is within what clocks may differ by and adds nothing:
// the same recording in another format is longer by a sample.
func TestMergeTracesIgnoresOverhang(t *testing.T) {
	a := traceOf(1000, Channels{HeartRate: held(600, 120)})
	for _, over := range []int{1, minStretchS - 1, minStretchS} {
		b := traceOf(1000-int64(over), Channels{HeartRate: held(600+over, 121)})
		// b measured for longer only where the overhang counts.
		merged, _, _ := MergeTraces(a, b, 0)
		want, rate := 600, 120.0
		if over >= minStretchS {
			want, rate = 600+over, 121
		}
		if merged.N != want || merged.HeartRate[want-1] != rate {
			t.Errorf("%d s over: %d seconds at %g", over, merged.N, merged.HeartRate[want-1])
		}
	}
}

// Where one device paused, another that ran on tells what the heart did. The
// pause stays a pause, because no output was recorded in it.
func TestMergeTracesFillsPauses(t *testing.T) {
	paused := func(n, from, to int, v float64) []float64 {
		return filled(n, func(i int) float64 {
			if i >= from && i < to {
				return missing
			}
			return v
		})
	}
	a := traceOf(0, Channels{HeartRate: paused(900, 300, 400, 150), Power: paused(900, 300, 400, 200)})
	for i := 300; i < 400; i++ {
		a.Recorded[i], a.Observed[i] = false, false
	}
	a.HeartRate[700] = missing // a dropout is no pause
	b := traceOf(100, Channels{HeartRate: held(700, 140)})
	merged, fromA, fromB := MergeTraces(a, b, 0)
	if merged.HeartRate[350] != 140 || merged.HeartRate[299] != 150 || !math.IsNaN(merged.HeartRate[700]) {
		t.Errorf("heart rate %g in the pause, %g before it, %g in the dropout", merged.HeartRate[350], merged.HeartRate[299], merged.HeartRate[700])
	}
	if merged.Recorded[350] || !math.IsNaN(merged.Power[350]) {
		t.Error("the pause is gone")
	}
	if !slices.Equal(fromA, []string{"heart_rate", "power"}) || !slices.Equal(fromB, []string{"heart_rate"}) {
		t.Errorf("from a: %v, from b: %v", fromA, fromB)
	}
	// The other's power, too, and the pause was one of the recording only.
	b.Power = held(700, 90)
	if merged, _, _ = MergeTraces(a, b, 0); !merged.Recorded[350] || merged.Power[350] != 90 {
		t.Errorf("%g W in the pause", merged.Power[350])
	}
}

// Two barometers differ by a constant, two distances begin elsewhere: neither
// may step where one device takes over from the other.
func TestMergeTracesJoinsWithoutSteps(t *testing.T) {
	climb := filled(1000, func(i int) float64 { return float64(i) / 10 })
	way := filled(1000, func(i int) float64 { return float64(3 * i) })
	raised := filled(1000, func(i int) float64 { return climb[i] + 25 })
	a := traceOf(0, Channels{Altitude: climb[:600], Distance: way[:600]})
	b := traceOf(400, Channels{Altitude: raised[400:], Distance: way[:600]})
	for name, pair := range map[string][2]*Trace{"later": {a, b}, "earlier": {b, a}} {
		merged, _, _ := MergeTraces(pair[0], pair[1], 0)
		if merged.N != 1000 || merged.Distance[0] != 0 {
			t.Errorf("%s: %d seconds, first distance %g m", name, merged.N, merged.Distance[0])
		}
		for i := 1; i < merged.N; i++ {
			if rise := merged.Altitude[i] - merged.Altitude[i-1]; math.Abs(rise-0.1) > 1e-9 {
				t.Fatalf("%s: altitude rises by %g m in second %d", name, rise, i)
			}
			if step := merged.Distance[i] - merged.Distance[i-1]; math.Abs(step-3) > 1e-9 {
				t.Fatalf("%s: distance grows by %g m in second %d", name, step, i)
			}
		}
	}
}

// Traces without a second in common are no workout of two devices; years
// between them must cost no memory.
func TestMergeTracesFarApart(t *testing.T) {
	a := traceOf(1000, Channels{HeartRate: held(600, 120)})
	for _, start := range []int64{1600, 400, math.MaxInt64 / 2, math.MinInt64 / 2} {
		b := traceOf(start, Channels{HeartRate: held(600, 130)})
		merged, fromA, fromB := MergeTraces(a, b, 0)
		if merged.N != 600 || merged.HeartRate[0] != 120 || len(fromA) != 1 || fromB != nil {
			t.Errorf("from %d: %d seconds, %v, %v", start, merged.N, fromA, fromB)
		}
	}
}

// A watch beside a stationary bicycle goes nowhere, for however long.
func TestMergeTracesDistrustsZeros(t *testing.T) {
	a := traceOf(0, Channels{Speed: held(600, 8), Power: held(600, 0)})
	b := traceOf(0, Channels{Speed: held(900, 0), Cadence: held(900, 0)})
	merged, _, fromB := MergeTraces(a, b, 0)
	if merged.Speed[300] != 8 || merged.Speed[700] != 0 || merged.Cadence[0] != 0 || merged.Power[0] != 0 {
		t.Errorf("speed %g and %g", merged.Speed[300], merged.Speed[700])
	}
	if !slices.Equal(fromB, []string{"speed", "cadence"}) {
		t.Errorf("from b: %v", fromB)
	}
}

// Whatever two devices recorded, no value is made up, none of the longer
// channel is lost, and every column and mask covers the whole.
func TestMergeTracesProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(label string, start int64) *Trace {
			n := rapid.IntRange(1, 400).Draw(t, label+" seconds")
			tr := traceOf(start, Channels{})
			tr.N, tr.Recorded, tr.Observed = n, yes(n), yes(n)
			pause := rapid.IntRange(0, n).Draw(t, label+" pause")
			for i := pause; i < min(n, pause+90); i++ {
				tr.Recorded[i], tr.Observed[i] = false, false
			}
			for _, spec := range ChannelSpecs {
				if !rapid.Bool().Draw(t, label+" "+spec.Name) {
					continue
				}
				from := rapid.IntRange(0, n).Draw(t, label+" from")
				*spec.Column(&tr.Channels) = filled(n, func(i int) float64 {
					if i < from || !tr.Recorded[i] {
						return missing
					}
					return float64(1 + i%40)
				})
			}
			return tr
		}
		a, b := draw("a", 10_000), draw("b", 10_000+int64(rapid.IntRange(-500, 500).Draw(t, "shift")))
		merged, fromA, fromB := MergeTraces(a, b, rapid.IntRange(-maxLagS, maxLagS).Draw(t, "lag"))
		if len(merged.Recorded) != merged.N || len(merged.Observed) != merged.N || merged.N < a.N {
			t.Fatalf("%d seconds of %d, masks of %d and %d", merged.N, a.N, len(merged.Recorded), len(merged.Observed))
		}
		for _, spec := range ChannelSpecs {
			col := *spec.Column(&merged.Channels)
			if col != nil && len(col) != merged.N {
				t.Fatalf("%s: %d of %d seconds", spec.Name, len(col), merged.N)
			}
			ofA := countValid(*spec.Column(&a.Channels))
			if got := countValid(col); got < ofA || got > ofA+countValid(*spec.Column(&b.Channels)) {
				t.Fatalf("%s: %d valid seconds, %d were a's", spec.Name, got, ofA)
			}
			named := slices.Contains(fromA, spec.Name) || slices.Contains(fromB, spec.Name)
			if named != (countValid(col) > 0) {
				t.Fatalf("%s: from %v and %v", spec.Name, fromA, fromB)
			}
		}
	})
}

func BenchmarkClockLag(b *testing.B) {
	for _, channels := range []int{1, 4} {
		b.Run(fmt.Sprintf("3h/channels=%d", channels), func(b *testing.B) {
			rng := rand.New(rand.NewPCG(5, 6))
			heart := workoutHeart(3 * 3600)
			device := func() *Trace {
				c := Channels{HeartRate: measured(rng, heart, 1, 0)}
				if channels == 4 {
					c.Power, c.Speed, c.Altitude = measured(rng, heart, 9, 0), measured(rng, heart, 2, 0), measured(rng, heart, 1, 0)
				}
				return traceOf(0, c)
			}
			x, y := device(), device()
			for b.Loop() {
				ClockLag(x, y)
			}
		})
	}
}
