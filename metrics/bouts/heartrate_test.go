package bouts

import (
	"math"
	"testing"
)

// response is first-order kinetics worked out here from its solution, second
// by second.
func response(demand []float64, start, rise, fall float64) []float64 {
	h := start
	out := make([]float64, len(demand))
	for i, d := range demand {
		tau := rise
		if d < h {
			tau = fall
		}
		h = d + (h-d)*math.Exp(-1/tau)
		out[i] = h
	}
	return out
}

// steps is a demand of rest and work in turn.
func steps(n int, rest, work float64, from, length, apart int) []float64 {
	d := make([]float64, n)
	for i := range d {
		d[i] = rest
		if i >= from && (i-from)%apart < length {
			d[i] = work
		}
	}
	return d
}

func TestDemandOfUndoesKinetics(t *testing.T) {
	demand := steps(2400, 110, 165, 600, 240, 480)
	rate := response(demand, 110, typicalRise, typicalFall)
	p := series{y: rate, w: ones(len(rate)), own: make([]bool, len(rate)), stopped: make([]bool, len(rate))}
	q := demandOf(p)
	// In the middle of work and of rest the demand is back, over one base.
	contrast := q.y[720] - q.y[960]
	if math.Abs(contrast-55) > 3 {
		t.Errorf("demand of work over rest %.1f, want 55", contrast)
	}
	// A minute into the bout the rate itself is far from it.
	if raw := rate[660] - rate[599]; raw > 45 {
		t.Errorf("the example tells nothing: the rate has risen by %.1f after a minute", raw)
	}
}

func TestRunningMedianTakesArtefactsOut(t *testing.T) {
	y := []float64{120, 120, 120, 210, 205, 120, 120, 120, 120}
	got := runningMedian(y, ones(len(y)))
	for i, v := range got {
		if v != 120 {
			t.Errorf("second %d: %v, want 120", i, v)
		}
	}
}

func TestRateEdgesFindKnownEdges(t *testing.T) {
	demand := steps(1500, 110, 165, 600, 240, 480)
	rate := response(demand, 110, 40, 55)
	// The heart answers late.
	const delay = int(rateDelay)
	late := append(make([]float64, 0, len(rate)), rate[:delay]...)
	for i := range rate[delay:] {
		late = append(late, rate[i])
	}
	r := rateEdges{series{y: late, w: ones(len(late))}}
	got := r.placeAll([]rateEdge{
		{edge{at: 606, before: 400, after: 240}, true},
		{edge{at: 846, before: 240, after: 240}, false},
	})
	for k, want := range []float64{600, 840} {
		if math.Abs(got[k].at-want) > 3 {
			t.Errorf("boundary %d at %.1f, want %.0f", k, got[k].at, want)
		}
		if got[k].half < 1.645*delaySpread-1e-9 {
			t.Errorf("half-width %.1f leaves out what is not known of the delay", got[k].half)
		}
	}
}

func TestSolve3(t *testing.T) {
	a := [3][3]float64{{4, 1, 2}, {0, 3, 0.5}, {0, 0, 5}} // upper triangle
	want := [3]float64{1, -2, 3}
	b := [3]float64{4 - 2 + 6, 1 - 6 + 1.5, 2 - 1 + 15}
	got, ok := solve3(a, b)
	if !ok {
		t.Fatal("no solution")
	}
	for k := range want {
		if math.Abs(got[k]-want[k]) > 1e-4 {
			t.Errorf("x[%d] = %v, want %v", k, got[k], want[k])
		}
	}
	if _, ok := solve3([3][3]float64{{-1, 0, 0}}, b); ok {
		t.Error("a system that is not positive was solved")
	}
}
