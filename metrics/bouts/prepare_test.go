package bouts

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var missing = math.NaN()

func TestPrepareUndoesStraightLines(t *testing.T) {
	// Samples at 0, 4 and 6 with straight lines between.
	in := Input{
		Signal:   Power,
		Values:   []float64{100, 125, 150, 175, 200, 150, 100},
		Observed: []bool{true, false, false, false, true, false, true},
	}
	got := prepare(in, DefaultSettings())
	want := []float64{100, 100, 100, 200, 200, 200, 100}
	if diff := cmp.Diff(want, got.y); diff != "" {
		t.Errorf("values differ (-want +got)\n%s", diff)
	}
	if in.Values[1] != 125 {
		t.Error("the input was changed")
	}
}

func TestPrepareReadsPauses(t *testing.T) {
	values, recorded := make([]float64, 60), make([]bool, 60)
	for i := range values {
		values[i], recorded[i] = 200, true
		// A stop of 20 s, and samples lost for 10 s while recording went on.
		if i >= 10 && i < 30 {
			values[i], recorded[i] = missing, false
		}
		if i >= 40 && i < 50 {
			values[i] = missing
		}
	}
	got := prepare(Input{Signal: Power, Values: values, Recorded: recorded}, DefaultSettings())
	if got.w[20] != 1 || got.y[20] != 0 || !got.stopped[20] {
		t.Errorf("a stopped recording is weight %v of value %v, want 1 of 0", got.w[20], got.y[20])
	}
	if got.w[45] != 0 || got.stopped[45] {
		t.Errorf("a dropout has weight %v, want 0", got.w[45])
	}
}

func TestSensorThatFellAsleepReadsZero(t *testing.T) {
	values := []float64{200, 200, 0, 0, missing, missing, missing, 150, missing, 160}
	got := prepare(Input{Signal: Power, Values: values}, DefaultSettings())
	if got.w[5] != 1 || got.y[5] != 0 {
		t.Errorf("after a zero, silence is weight %v of value %v, want 1 of 0", got.w[5], got.y[5])
	}
	if got.w[8] != 0 {
		t.Errorf("after work, silence has weight %v, want 0", got.w[8])
	}
	rate := prepare(Input{Signal: HeartRate, Values: values}, DefaultSettings())
	if rate.w[5] != 0 {
		t.Errorf("a silent strap has weight %v, want 0", rate.w[5])
	}
}

func TestWithoutStops(t *testing.T) {
	y := make([]float64, 200)
	for i := range y {
		y[i] = 150
	}
	for i := 50; i < 60; i++ {
		y[i] = 0 // coasting
	}
	for i := 100; i < 140; i++ {
		y[i] = 0 // a rest
	}
	p := series{y: y, w: ones(len(y)), stopped: make([]bool, len(y))}
	q, worth := p.withoutStops(13)
	if !worth || q.w[55] != 0 || q.w[120] != 1 || p.w[55] != 1 {
		t.Errorf("coasting weighs %v and a rest %v, want 0 and 1", q.w[55], q.w[120])
	}
	if _, worth := p.withoutStops(5); worth {
		t.Error("no zero is as short as 5 s, yet there was something to leave out")
	}
}

func TestRestingCostIsNoOutput(t *testing.T) {
	got := prepare(Input{Signal: OxygenCost, Values: []float64{3.5, 13.5}}, DefaultSettings())
	if diff := cmp.Diff([]float64{0, 10}, got.y); diff != "" {
		t.Errorf("net cost differs (-want +got)\n%s", diff)
	}
}
