package metrics

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
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
	merged, fromB := MergeTraces(a, b, 5)
	if !slices.Equal(fromB, []string{"heart_rate", "temperature"}) {
		t.Errorf("from b: %v", fromB)
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

// Shifts cut off what lies outside a's time and leave the rest missing.
func TestMergeTracesShifts(t *testing.T) {
	for shift := -12; shift <= 12; shift++ {
		a := traceOf(1000, Channels{HeartRate: held(10, 100)})
		b := traceOf(1000+int64(shift), Channels{Power: filled(10, func(i int) float64 { return float64(i) })})
		merged, fromB := MergeTraces(a, b, 0)
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
	merged, _ := MergeTraces(a, b, 0)
	if want := []bool{true, true, false, true, false, false}; !slices.Equal(merged.Observed, want) {
		t.Errorf("observed %v, want %v", merged.Observed, want)
	}
	if !slices.Equal(merged.Recorded, yes(6)) {
		t.Errorf("recorded %v", merged.Recorded)
	}
	if a.Recorded[1] || a.Observed[1] {
		t.Error("a was changed")
	}
	// Of even channels a's are kept, masks and all.
	same, fromB := MergeTraces(b, b, 0)
	if len(fromB) != 0 || !slices.Equal(same.Observed, b.Observed) {
		t.Errorf("merged with itself: %v from b", fromB)
	}
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
