package main

import (
	"math"
	"strconv"
	"testing"

	"boutwise/pipeline/tables"
)

// What the drawing must show: where nothing was measured, that the lowest
// value is not nothing, where the bouts lie and which of them are questions.
func TestTraceDrawing(t *testing.T) {
	values := make([]float64, 100)
	for i := range values {
		values[i] = 100
		if i >= 40 && i < 60 {
			values[i] = 200
		}
		if i >= 80 && i < 90 {
			values[i] = math.NaN()
		}
	}
	bouts := []tables.Bout{
		{Bout: 1, Confidence: "confirmed", StartS: 40, EndS: 60},
		{Bout: 2, Confidence: "possible", StartS: 65, EndS: 75},
	}
	p := plotOn(screen{width: labelWidth + marginal + 50, signs: asciiSigns}, 100)
	got := p.trace("power, W", values, bouts, func(x float64) string { return strconv.Itoa(int(x)) })
	want := []string{
		"  power, W",
		"                            ----1-----  ..2?..",
		"   200 |                    ##########",
		"       |                    ##########",
		"       |                    ##########",
		"       |                    ##########",
		"       |                    ##########",
		"   100 |....................##########..........     .....",
	}
	if len(got) != len(want) {
		t.Fatalf("%d lines, want %d: %q", len(got), len(want), got)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("line %d:\n%q\nwant\n%q", i, got[i], want[i])
		}
	}
	if axis, want := p.timeAxis(), "        0:00            0:33             1:07         1:40"; axis != want {
		t.Errorf("axis %q, want %q", axis, want)
	}
}
