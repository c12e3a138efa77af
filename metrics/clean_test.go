package metrics

import (
	"math"
	"slices"
	"testing"
)

// everySecond is n sample times one second apart.
func everySecond(n int) []int64 {
	times := make([]int64, n)
	for i := range times {
		times[i] = 1_750_000_000_000 + int64(i)*1000
	}
	return times
}

func TestDropImpossible(t *testing.T) {
	inf := math.Inf(1)
	col := []float64{29.9, 30, missing, 230, 230.1, inf, -inf, 0}
	want := []float64{missing, 30, missing, 230, missing, missing, missing, missing}
	if n := dropImpossible(col, 30, 230); n != 5 {
		t.Errorf("%d dropped, want 5: what was missing before does not count", n)
	}
	if !slices.EqualFunc(col, want, equalOrMissing) {
		t.Errorf("%v, want %v", col, want)
	}
}

func TestDropSpikes(t *testing.T) {
	tests := []struct {
		name string
		col  []float64
		want []float64
	}{
		{"up", []float64{100, 100, 180, 101, 100}, []float64{100, 100, missing, 101, 100}},
		{"down", []float64{150, 90, 92, 151}, []float64{150, missing, missing, 151}},
		{"four seconds long", []float64{100, 180, 181, 180, 180, 100}, []float64{100, missing, missing, missing, missing, 100}},
		{"five seconds long is kept", []float64{100, 180, 181, 180, 180, 180, 100}, []float64{100, 180, 181, 180, 180, 180, 100}},
		{"exactly the jump is kept", []float64{100, 125, 100}, []float64{100, 125, 100}},
		{"a step is kept", []float64{100, 140, 141, 142, 142, 142, 143}, []float64{100, 140, 141, 142, 142, 142, 143}},
		{"two in a row", []float64{100, 180, 100, 180, 100}, []float64{100, missing, 100, missing, 100}},
		{"over missing seconds", []float64{100, missing, 180, missing, 100}, []float64{100, missing, missing, missing, 100}},
		{"first sample has nothing before it", []float64{180, 100, 100}, []float64{180, 100, 100}},
		{"last sample has nothing after it", []float64{100, 100, 180}, []float64{100, 100, 180}},
		{"nothing", nil, nil},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := slices.Clone(tt.col)
			n := dropSpikes(everySecond(len(got)), got, 25)
			if !slices.EqualFunc(got, tt.want, equalOrMissing) {
				t.Errorf("%v, want %v", got, tt.want)
			}
			if lost := countValid(tt.col) - countValid(tt.want); n != lost {
				t.Errorf("%d counted, %d lost", n, lost)
			}
		})
	}
}

func TestSpikesAreNotSeenAcrossAPause(t *testing.T) {
	times := []int64{0, 60_000, 61_000}
	col := []float64{100, 160, 120}
	if n := dropSpikes(times, col, 25); n != 0 {
		t.Errorf("%d dropped: what happened in the pause is not known", n)
	}
}

func TestDropFrozenHeartRate(t *testing.T) {
	tests := []struct {
		name   string
		col    []float64
		frozen int
	}{
		{"180 s", held(181, 120), 181},
		{"179 s", held(180, 120), 0},
		{"a beat between", slices.Concat(held(150, 120), held(1, 121), held(150, 120)), 0},
		{"every other second missing", filled(301, func(i int) float64 {
			if i%2 == 1 {
				return missing
			}
			return 120
		}), 151},
		{"two stretches about a pause of the sensor", slices.Concat(held(120, 120), held(11, missing), held(120, 120)), 0},
		{"only missing", held(400, missing), 0},
		{"then alive", slices.Concat(held(200, 120), held(20, missing), []float64{119, 121}), 200},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := slices.Clone(tt.col)
			if n := dropFrozen(everySecond(len(got)), got, nil, frozenHeartRateS); n != tt.frozen {
				t.Errorf("%d frozen, want %d", n, tt.frozen)
			}
			if left := countValid(got); left != countValid(tt.col)-tt.frozen {
				t.Errorf("%d samples left of %d", left, countValid(tt.col))
			}
		})
	}
}

func TestFrozenPowerNeedsStillPedals(t *testing.T) {
	turning := held(100, 85)
	stopped := slices.Concat(held(40, 85), held(30, 0), held(30, 85))
	tests := []struct {
		name    string
		cadence []float64
		frozen  int
	}{
		{"pedals stop", stopped, 30},
		{"pedals turn", turning, 0},
		{"no cadence", nil, 0},
		{"a cadence that never turns was not measured", held(100, 0), 0},
		{"cadence missing", slices.Concat(held(40, 85), held(60, missing)), 0},
		{"ten seconds are eleven samples", slices.Concat(held(40, 85), held(11, 0), held(49, 85)), 11},
		{"nine seconds", slices.Concat(held(40, 85), held(10, 0), held(50, 85)), 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			in := Columns{TimeMS: everySecond(100), Channels: Channels{Power: held(100, 180), Cadence: tt.cadence}}
			out, repairs := cleanColumns(in, false)
			if got := repairs["power"].Frozen; got != tt.frozen {
				t.Errorf("%d frozen, want %d", got, tt.frozen)
			}
			if left := countValid(out.Power); left != 100-tt.frozen {
				t.Errorf("%d left", left)
			}
		})
	}
}

func TestZeroPowerIsNeverFrozen(t *testing.T) {
	in := Columns{TimeMS: everySecond(100), Channels: Channels{
		Power: held(100, 0), Cadence: slices.Concat(held(50, 0), held(50, 60)),
	}}
	if _, repairs := cleanColumns(in, false); repairs["power"].Total() != 0 {
		t.Errorf("coasting was repaired: %v", repairs)
	}
}

func TestSpeedOnFoot(t *testing.T) {
	in := Columns{TimeMS: everySecond(20), Channels: Channels{Speed: held(20, 13)}}
	if _, repairs := cleanColumns(in, false); repairs["speed"].Total() != 0 {
		t.Errorf("13 m/s on wheels: %v", repairs)
	}
	out, repairs := cleanColumns(in, true)
	if repairs["speed"].Impossible != 20 || countValid(out.Speed) != 0 {
		t.Errorf("13 m/s on foot: %v", repairs)
	}
}

// Every channel refuses what lies one step beyond its bounds, and counts it
// under its own name.
func TestBoundsOfEveryChannel(t *testing.T) {
	for _, spec := range ChannelSpecs {
		in := Columns{TimeMS: everySecond(4)}
		*spec.Column(&in.Channels) = []float64{spec.Low - 1/spec.PerUnit, spec.Low, spec.High, spec.High + 1/spec.PerUnit}
		const day = 24 * 3600_000 // from one bound to the other at once is a spike
		in.TimeMS[2] += day
		in.TimeMS[3] += day
		out, repairs := cleanColumns(in, false)
		want := []float64{missing, spec.Low, spec.High, missing}
		if got := *spec.Column(&out.Channels); !slices.EqualFunc(got, want, equalOrMissing) {
			t.Errorf("%s: %v, want %v", spec.Name, got, want)
		}
		if got := repairs[spec.Name]; got != (ChannelRepairs{Seen: 4, Impossible: 2}) {
			t.Errorf("%s: %+v", spec.Name, got)
		}
	}
}

// What was taken away is a share of the samples that a channel had, though it
// was written in few of a recording's.
func TestSamplesSeen(t *testing.T) {
	hr := held(600, missing)
	for i := 0; i < 600; i += 5 {
		hr[i] = float64(100 + i%2)
	}
	hr[300] = 255
	in := Columns{TimeMS: everySecond(600), Channels: Channels{HeartRate: hr, Power: held(600, missing)}}
	_, repairs := cleanColumns(in, false)
	if got := repairs["heart_rate"]; got != (ChannelRepairs{Seen: 120, Impossible: 1}) {
		t.Errorf("%+v, want 1 of 120", got)
	}
	if _, ok := repairs["power"]; ok {
		t.Error("a channel without a sample is listed")
	}
	both := Repairs{Channel: repairs}.Plus(Repairs{Channel: map[string]ChannelRepairs{"heart_rate": {30, 4, 2, 1}, "speed": {Seen: 9}}})
	if got := both.Channel["heart_rate"]; got != (ChannelRepairs{150, 5, 2, 1}) || got.Total() != 8 || both.Channel["speed"].Seen != 9 {
		t.Errorf("added up: %+v", both.Channel)
	}
}
