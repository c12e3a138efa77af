package metrics

import (
	"math"
	"slices"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// epochMS is the instant of the first sample in most tests.
const epochMS = int64(1_750_000_000_000)

// at gives sample times in seconds from epochMS.
func at(seconds ...float64) []int64 {
	times := make([]int64, len(seconds))
	for i, s := range seconds {
		times[i] = epochMS + int64(math.Round(s*1000))
	}
	return times
}

func yes(n int) []bool { return slices.Repeat([]bool{true}, n) }
func no(n int) []bool  { return slices.Repeat([]bool{false}, n) }

func TestBuildTraceGrid(t *testing.T) {
	tests := []struct {
		name     string
		times    []int64
		hr       []float64
		want     []float64
		recorded []bool
		observed []bool
		repairs  Repairs
	}{
		{
			name: "one sample", times: at(0), hr: []float64{100},
			want: []float64{100}, recorded: yes(1), observed: yes(1),
		},
		{
			name: "a gap of 10 s is bridged", times: at(0, 10), hr: []float64{100, 120},
			want:     []float64{100, 102, 104, 106, 108, 110, 112, 114, 116, 118, 120},
			recorded: yes(11), observed: slices.Concat(yes(1), no(9), yes(1)),
			repairs: Repairs{BridgedS: 9},
		},
		{
			name: "a gap of 11 s is a pause", times: at(0, 11), hr: []float64{100, 120},
			want:     slices.Concat(held(1, 100), held(10, missing), held(1, 120)),
			recorded: slices.Concat(yes(1), no(10), yes(1)), observed: slices.Concat(yes(1), no(10), yes(1)),
			repairs: Repairs{PausedS: 10},
		},
		{
			name: "a missing value inside is bridged", times: at(0, 1, 2, 3), hr: []float64{100, missing, missing, 103},
			want: []float64{100, 101, 102, 103}, recorded: yes(4), observed: yes(4),
		},
		{
			name: "values missing for 11 s stay missing", times: everySecond(12),
			hr:   slices.Concat(held(1, 100), held(10, missing), held(1, 120)),
			want: slices.Concat(held(1, 100), held(10, missing), held(1, 120)), recorded: yes(12), observed: yes(12),
		},
		{
			name: "missing at the ends is not drawn on", times: at(0, 1, 2, 3), hr: []float64{missing, 100, 101, missing},
			want: []float64{missing, 100, 101, missing}, recorded: yes(4), observed: yes(4),
		},
		{
			name: "samples of one second become their mean", times: at(0, 0.25, 0.49, 1, 2), hr: []float64{100, 102, 110, 105, 106},
			want: []float64{104, 105, 106}, recorded: yes(3), observed: yes(3), repairs: Repairs{Duplicate: 2},
		},
		{
			name: "the nearest second counts, half a second up", times: at(0, 0.5, 1.6), hr: []float64{100, 101, 102},
			want: []float64{100, 101, 102}, recorded: yes(3), observed: yes(3),
		},
		{
			name: "a repeated second", times: at(0, 1, 1, 1, 2), hr: []float64{100, 101, missing, 103, 104},
			want: []float64{100, 102, 104}, recorded: yes(3), observed: yes(3), repairs: Repairs{Duplicate: 2},
		},
		{
			name: "one sample behind", times: at(0, 1, 2, 1, 3, 4), hr: []float64{100, 101, 102, 110, 103, 104},
			want: []float64{100, 101, 102, 103, 104}, recorded: yes(5), observed: yes(5),
			repairs: Repairs{Backward: 1},
		},
		{
			name: "one sample far ahead", times: at(0, 1, 900, 2, 3), hr: []float64{100, 101, 110, 102, 103},
			want: []float64{100, 101, 102, 103}, recorded: yes(4), observed: yes(4), repairs: Repairs{Backward: 1},
		},
		{
			name: "a clock set back by 3 s", times: at(0, 1, 2, 3, 0, 1, 2, 3, 4, 5), hr: []float64{90, 91, 92, 93, 100, 101, 102, 103, 104, 105},
			want: []float64{95, 101, 102, 103, 104, 105}, recorded: yes(6), observed: yes(6),
			repairs: Repairs{Backward: 3, Duplicate: 1},
		},
		{
			name: "impossible values", times: at(0, 1, 2), hr: []float64{100, 255, 104},
			want: []float64{100, 102, 104}, recorded: yes(3), observed: yes(3),
			repairs: Repairs{Channel: map[string]ChannelRepairs{"heart_rate": {Seen: 3, Impossible: 1}}},
		},
		{
			name: "infinite values", times: at(0, 1, 2), hr: []float64{math.Inf(1), 100, math.Inf(-1)},
			want: []float64{missing, 100, missing}, recorded: yes(3), observed: yes(3),
			repairs: Repairs{Channel: map[string]ChannelRepairs{"heart_rate": {Seen: 3, Impossible: 2}}},
		},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			tr, rep := BuildTrace(Columns{TimeMS: tt.times, Channels: Channels{HeartRate: tt.hr}}, false)
			if tr.StartUnix != epochMS/1000 || tr.N != len(tt.want) {
				t.Fatalf("start %d, %d seconds; want %d", tr.StartUnix, tr.N, len(tt.want))
			}
			if !slices.EqualFunc(tr.HeartRate, tt.want, equalOrMissing) {
				t.Errorf("heart rate %v, want %v", tr.HeartRate, tt.want)
			}
			if !slices.Equal(tr.Recorded, tt.recorded) {
				t.Errorf("recorded %v, want %v", tr.Recorded, tt.recorded)
			}
			if !slices.Equal(tr.Observed, tt.observed) {
				t.Errorf("observed %v, want %v", tr.Observed, tt.observed)
			}
			sameRepairs(t, rep, tt.repairs)
		})
	}
}

func sameRepairs(t *testing.T, got, want Repairs) {
	t.Helper()
	if got.Backward != want.Backward || got.Duplicate != want.Duplicate || got.Stray != want.Stray ||
		got.BridgedS != want.BridgedS || got.PausedS != want.PausedS {
		t.Errorf("repairs %+v, want %+v", got, want)
	}
	for _, spec := range ChannelSpecs {
		if g, w := got.Channel[spec.Name], want.Channel[spec.Name]; g != w && g.Total()+w.Total() > 0 {
			t.Errorf("%s: %+v, want %+v", spec.Name, g, w)
		}
	}
}

func TestBuildTraceOfNothing(t *testing.T) {
	tr, rep := BuildTrace(Columns{}, false)
	if tr.N != 0 || tr.Recorded != nil {
		t.Errorf("%+v", tr)
	}
	sameRepairs(t, rep, Repairs{})
}

// secondsFrom is n sample times from an instant on.
func secondsFrom(start time.Time, n int) []int64 {
	times := make([]int64, n)
	for i := range times {
		times[i] = start.UnixMilli() + int64(i)*1000
	}
	return times
}

func TestBuildTraceClocks(t *testing.T) {
	unset := time.Date(1989, 12, 31, 0, 0, 0, 0, time.UTC)
	day := time.Date(2026, 3, 29, 8, 0, 0, 0, time.UTC)
	far := time.Date(2106, 2, 7, 6, 28, 15, 0, time.UTC)
	tests := []struct {
		name  string
		times []int64
		start time.Time
		n     int
		rep   Repairs
	}{
		{"set after a minute", slices.Concat(secondsFrom(unset, 60), secondsFrom(day, 600)), day, 600, Repairs{Stray: 60}},
		{"lost for the last minute", slices.Concat(secondsFrom(day, 600), secondsFrom(unset, 60)), day, 600, Repairs{Backward: 60}},
		{"one sample in 2106 at the end", slices.Concat(secondsFrom(day, 600), secondsFrom(far, 1)), day, 600, Repairs{Stray: 1}},
		{"one sample in 2106 in between", slices.Concat(secondsFrom(day, 300), secondsFrom(far, 1), secondsFrom(day.Add(300*time.Second), 300)), day, 600, Repairs{Backward: 1}},
		{"all in 2106", secondsFrom(far, 600), far, 600, Repairs{}},
		{"all before 1970", secondsFrom(time.Date(1969, 12, 31, 23, 59, 0, 0, time.UTC), 100), time.Date(1969, 12, 31, 23, 59, 0, 0, time.UTC), 100, Repairs{}},
		{"set back an hour after half an hour", slices.Concat(secondsFrom(day, 1800), secondsFrom(day.Add(-30*time.Minute), 1900)), day.Add(-30 * time.Minute), 1900, Repairs{Backward: 1800}},
		{"exactly two days", []int64{day.UnixMilli(), day.Add(48 * time.Hour).UnixMilli()}, day, 48*3600 + 1, Repairs{PausedS: 48*3600 - 1}},
		{"a second more than two days", []int64{day.UnixMilli(), day.Add(48*time.Hour + time.Second).UnixMilli()}, day, 1, Repairs{Stray: 1}},
		{"the ends of time", []int64{math.MinInt64, day.UnixMilli(), day.UnixMilli() + 1000, math.MaxInt64}, day, 2, Repairs{Stray: 2}},
		{"the last instant alone", []int64{math.MaxInt64}, time.Unix(math.MaxInt64/1000, 0), 1, Repairs{}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			hr := filled(len(tt.times), func(i int) float64 { return float64(100 + i%2) })
			tr, rep := BuildTrace(Columns{TimeMS: tt.times, Channels: Channels{HeartRate: hr}}, false)
			if tr.StartUnix != tt.start.Unix() || tr.N != tt.n {
				t.Errorf("%v, %d s; want %v, %d s", time.Unix(tr.StartUnix, 0).UTC(), tr.N, tt.start, tt.n)
			}
			sameRepairs(t, rep, tt.rep)
		})
	}
}

// A recording that runs on for more than two days without a long gap is cut
// off after two.
func TestBuildTraceCutsAtTwoDays(t *testing.T) {
	n := 49 * 360
	times := make([]int64, n)
	for i := range times {
		times[i] = epochMS + int64(i)*10_000
	}
	tr, rep := BuildTrace(Columns{TimeMS: times, Channels: Channels{HeartRate: filled(n, func(i int) float64 { return float64(90 + i%2) })}}, false)
	if tr.N != maxSpanS+1 || rep.Stray != 359 || countValid(tr.HeartRate) != tr.N {
		t.Errorf("%d s, %d stray", tr.N, rep.Stray)
	}
}

func TestStartBeforeASecond(t *testing.T) {
	for start, want := range map[int64]int64{1999: 1, 2000: 2, -1: -1, -1000: -1, -1001: -2} {
		tr, _ := BuildTrace(Columns{TimeMS: []int64{start}}, false)
		if tr.StartUnix != want {
			t.Errorf("%d ms: starts at %d, want %d", start, tr.StartUnix, want)
		}
	}
}

func TestSpeedFromDistance(t *testing.T) {
	// 3 m/s, 10 s of pause, then 2 m/s.
	times := append(everySecond(60), at(80, 81, 82, 83, 84)...)
	distance := slices.Concat(filled(60, func(i int) float64 { return 3 * float64(i) }), []float64{180, 182, 184, 186, 188})
	tr, _ := BuildTrace(Columns{TimeMS: times, Channels: Channels{Distance: distance}}, true)
	want := slices.Concat(held(60, 3), held(20, missing), held(5, 2))
	if !slices.EqualFunc(tr.Speed, want, equalOrMissing) {
		t.Errorf("%v", tr.Speed)
	}
}

// A distance that leaps further than anybody can be, or starts anew, says
// nothing of the speed there: it is that of the seconds about it.
func TestSpeedFromALeapingDistance(t *testing.T) {
	for name, leap := range map[string]float64{"ahead": 5000, "back to nothing": -90} {
		distance := filled(60, func(i int) float64 {
			if i < 30 {
				return 3 * float64(i)
			}
			return 3*float64(i) + leap
		})
		tr, rep := BuildTrace(Columns{TimeMS: everySecond(60), Channels: Channels{Distance: distance}}, true)
		if !slices.EqualFunc(tr.Speed, held(60, 3), equalOrMissing) || rep.Channel["speed"].Total() != 0 {
			t.Errorf("%s: %v, %+v", name, tr.Speed, rep.Channel)
		}
	}
}

// A way caught up with in one second is no speed.
func TestSpeedFromAWayCaughtUpWith(t *testing.T) {
	distance := filled(120, func(i int) float64 { return 3*float64(i) + 200*math.Floor(float64(i)/90) })
	tr, rep := BuildTrace(Columns{TimeMS: everySecond(120), Channels: Channels{Distance: distance}}, true)
	for i, v := range tr.Speed {
		if v < 0 || v > maxFootSpeed {
			t.Errorf("%g m/s in second %d", v, i)
		}
	}
	if lost := 120 - countValid(tr.Speed); lost == 0 || rep.Channel["speed"] != (ChannelRepairs{Seen: 120, Impossible: lost}) {
		t.Errorf("%d seconds lost, %+v", lost, rep.Channel)
	}
}

func TestQuantiseIsExact(t *testing.T) {
	for _, spec := range ChannelSpecs {
		t.Run(spec.Name, rapid.MakeCheck(func(t *rapid.T) {
			v := rapid.Float64Range(spec.Low, spec.High).Draw(t, "value")
			once := quantise([]float64{v}, spec.PerUnit)[0]
			if math.Abs(once-v) > 0.5000001/spec.PerUnit {
				t.Fatalf("%v moved to %v", v, once)
			}
			steps := math.Round(once * spec.PerUnit)
			if back := steps / spec.PerUnit; math.Float64bits(back+0) != math.Float64bits(once) {
				t.Fatalf("%v is not %v steps to the last bit", once, steps)
			}
			if twice := quantise([]float64{once}, spec.PerUnit)[0]; math.Float64bits(twice) != math.Float64bits(once) {
				t.Fatalf("%v becomes %v", once, twice)
			}
		}))
	}
	if z := quantise([]float64{-0.001}, 100)[0]; math.Signbit(z) {
		t.Error("a negative zero cannot be stored as a whole number of steps")
	}
}

// drawColumns draws samples as damaged devices write them.
func drawColumns(t *rapid.T) Columns {
	n := rapid.IntRange(1, 200).Draw(t, "n")
	in := Columns{TimeMS: make([]int64, n)}
	now := epochMS + rapid.Int64Range(0, 999).Draw(t, "phase")
	steps := rapid.SampledFrom([]int64{0, 200, 1000, 1000, 1000, 1000, 3000, 10_000, 11_000, 60_000, -5000, 13 * 3600_000, 40 * 365 * 86400_000})
	for i := range in.TimeMS {
		in.TimeMS[i] = now
		now += steps.Draw(t, "step")
	}
	for _, spec := range ChannelSpecs {
		if rapid.Bool().Draw(t, spec.Name) {
			values := rapid.OneOf(
				rapid.Float64Range(spec.Low, spec.High), rapid.Float64Range(spec.Low, spec.High),
				rapid.SampledFrom([]float64{missing, math.Inf(1), math.Inf(-1), spec.High + 1, spec.Low - 1, 0}))
			*spec.Column(&in.Channels) = rapid.SliceOfN(values, n, n).Draw(t, "values")
		}
	}
	return in
}

// failer is a test of either kind.
type failer interface {
	Helper()
	Fatalf(format string, args ...any)
}

// checkTrace fails on what no trace may be, whatever it was built from.
func checkTrace(t failer, in Columns, tr *Trace, rep Repairs) {
	t.Helper()
	if len(in.TimeMS) == 0 {
		if tr.N != 0 {
			t.Fatalf("%d seconds of nothing", tr.N)
		}
		return
	}
	if tr.N < 1 || tr.N > maxSpanS+1 || len(tr.Recorded) != tr.N || len(tr.Observed) != tr.N {
		t.Fatalf("%d seconds, %d recorded, %d observed", tr.N, len(tr.Recorded), len(tr.Observed))
	}
	observed := countTrue(tr.Observed)
	if kept := len(in.TimeMS) - rep.Backward - rep.Stray - rep.Duplicate; kept != observed {
		t.Fatalf("%d samples kept, %d seconds observed: %+v", kept, observed, rep)
	}
	if observed+rep.BridgedS+rep.PausedS != tr.N {
		t.Fatalf("%d observed, %d bridged, %d paused do not make %d", observed, rep.BridgedS, rep.PausedS, tr.N)
	}
	if !tr.Observed[0] || !tr.Observed[tr.N-1] {
		t.Fatalf("a trace begins and ends with a sample")
	}
	for i := range tr.N {
		if tr.Observed[i] && !tr.Recorded[i] {
			t.Fatalf("second %d is observed but not recorded", i)
		}
	}
	for _, spec := range ChannelSpecs {
		checkColumn(t, spec, tr)
	}
}

func checkColumn(t failer, spec ChannelSpec, tr *Trace) {
	t.Helper()
	col := *spec.Column(&tr.Channels)
	if col == nil {
		return
	}
	if len(col) != tr.N {
		t.Fatalf("%s: %d values, want %d", spec.Name, len(col), tr.N)
	}
	for i, v := range col {
		switch {
		case math.IsNaN(v):
		case v < spec.Low || v > spec.High:
			t.Fatalf("%s: %g in second %d", spec.Name, v, i)
		case !tr.Recorded[i]:
			t.Fatalf("%s: a value in second %d, which was not recorded", spec.Name, i)
		case math.Float64bits(math.Round(v*spec.PerUnit)/spec.PerUnit) != math.Float64bits(v):
			t.Fatalf("%s: %v is no whole number of steps", spec.Name, v)
		}
	}
}

func TestBuildTraceProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := drawColumns(t)
		before := cloneColumns(in)
		tr, rep := BuildTrace(in, rapid.Bool().Draw(t, "on foot"))
		checkTrace(t, in, &tr, rep)
		if !slices.Equal(in.TimeMS, before.TimeMS) {
			t.Fatal("the times were changed")
		}
		for _, spec := range ChannelSpecs {
			if !slices.EqualFunc(*spec.Column(&in.Channels), *spec.Column(&before.Channels), equalOrMissing) {
				t.Fatalf("%s was changed", spec.Name)
			}
		}
		// Time that runs forward within two days is kept from end to end.
		first, last := in.TimeMS[0], in.TimeMS[len(in.TimeMS)-1]
		if slices.IsSorted(in.TimeMS) && last-first <= maxSpanS*1000 && tr.N != int((last-first+500)/1000)+1 {
			t.Fatalf("%d seconds of %d ms", tr.N, last-first)
		}
		checkBridges(t, &tr)
	})
}

// checkBridges fails when a bridged value lies outside the samples about it.
func checkBridges(t *rapid.T, tr *Trace) {
	for _, spec := range ChannelSpecs {
		col := *spec.Column(&tr.Channels)
		if spec.Name == "speed" || col == nil { // may be a slope, not drawn itself
			continue
		}
		if spec.Name == "longitude" { // drawn the short way round
			col = unwrapped(col)
		}
		before := -1
		for i := range col {
			if !tr.Observed[i] || math.IsNaN(col[i]) {
				continue
			}
			for k := before + 1; before >= 0 && k < i; k++ {
				if low, high := min(col[before], col[i]), max(col[before], col[i]); col[k] < low || col[k] > high {
					t.Fatalf("%s: second %d is %g, between %g and %g", spec.Name, k, col[k], low, high)
				}
			}
			before = i
		}
	}
}

func cloneColumns(in Columns) Columns {
	out := Columns{TimeMS: slices.Clone(in.TimeMS)}
	for _, spec := range ChannelSpecs {
		*spec.Column(&out.Channels) = slices.Clone(*spec.Column(&in.Channels))
	}
	return out
}

// Samples written again, or late, change neither start nor length.
func TestRepeatedSamplesNeverLengthen(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 100).Draw(t, "n")
		in := Columns{TimeMS: everySecond(n), Channels: Channels{HeartRate: filled(n, func(i int) float64 { return float64(100 + i%3) })}}
		want, _ := BuildTrace(in, false)
		// Each sample again, and some behind their time.
		var times []int64
		var hr []float64
		for i, now := range in.TimeMS {
			times, hr = append(times, now), append(hr, in.HeartRate[i])
			for range rapid.IntRange(0, 2).Draw(t, "again") {
				times, hr = append(times, now), append(hr, in.HeartRate[i])
			}
			if i > 5 && rapid.IntRange(0, 9).Draw(t, "behind") == 0 {
				times, hr = append(times, now-int64(rapid.IntRange(2, 5).Draw(t, "by"))*1000), append(hr, 150)
			}
		}
		got, _ := BuildTrace(Columns{TimeMS: times, Channels: Channels{HeartRate: hr}}, false)
		if got.StartUnix != want.StartUnix || got.N != want.N {
			t.Fatalf("%d seconds became %d", want.N, got.N)
		}
	})
}

func BenchmarkBuildTraceOneHour(b *testing.B) {
	n := 3600
	in := Columns{TimeMS: everySecond(n), Channels: Channels{
		HeartRate: filled(n, func(i int) float64 { return float64(120 + i%7) }),
		Power:     filled(n, func(i int) float64 { return float64(180 + i%31) }),
		Speed:     filled(n, func(i int) float64 { return 8 + float64(i%5)/10 }),
	}}
	for b.Loop() {
		BuildTrace(in, false)
	}
}

// longestBySearch is the largest number of different instants in order, by
// trying every subset.
func longestBySearch(times []int64) int {
	best := 0
	for set := range 1 << len(times) {
		var picked []int64
		for i, t := range times {
			if set>>i&1 == 1 {
				picked = append(picked, t)
			}
		}
		if slices.IsSorted(picked) {
			best = max(best, len(slices.Compact(picked)))
		}
	}
	return best
}

func TestLongestInOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		times := rapid.SliceOfN(rapid.Int64Range(0, 8), 1, 10).Draw(t, "times")
		kept, left := longestInOrder(times)
		if len(kept)+left != len(times) || !slices.IsSorted(kept) {
			t.Fatalf("kept %v, left %d", kept, left)
		}
		picked := make([]int64, len(kept))
		for k, i := range kept {
			picked[k] = times[i]
		}
		if !slices.IsSorted(picked) {
			t.Fatalf("kept times %v run backwards", picked)
		}
		if got, want := len(slices.Compact(picked)), longestBySearch(times); got != want {
			t.Fatalf("%v: %d instants, %d are possible", times, got, want)
		}
	})
}

// A walk over the line where 180 degrees east become 180 west stays there: no
// second between two samples, and none with two of them, lies round the globe.
func TestLongitudeAcrossTheDateLine(t *testing.T) {
	in := Columns{
		TimeMS:   []int64{0, 1000, 4000, 4400, 6000, 9000},
		Channels: Channels{Longitude: []float64{179.9998, 179.9999, -179.9998, -179.9997, missing, 179.9998}},
	}
	in.Latitude = held(len(in.TimeMS), -16.5)
	tr, _ := BuildTrace(in, true)
	want := []float64{179.9998, 179.9999, -179.9999833, -179.9998667, -179.99975, -179.99984, -179.99993, 179.99998, 179.99989, 179.9998}
	for i, v := range tr.Longitude {
		if math.Abs(math.Remainder(v-want[i], 360)) > 2e-7 || math.Abs(v) > 180 {
			t.Errorf("second %d: %.7f, want %.7f", i, v, want[i])
		}
	}
	if tr.N != len(want) {
		t.Errorf("%d seconds", tr.N)
	}
	// Elsewhere nothing is touched, to the last bit.
	plain := []float64{0, -0.25, 179, 1, -179.5, 90}
	if got := wrapped(unwrapped([]float64{4.2, 4.3, missing, -4.2})); got[0] != 4.2 || got[1] != 4.3 || !math.IsNaN(got[2]) || got[3] != -4.2 {
		t.Errorf("%v", got)
	}
	for i, v := range wrapped(unwrapped(plain)) {
		if v != plain[i] {
			t.Errorf("%g became %g", plain[i], v)
		}
	}
}
