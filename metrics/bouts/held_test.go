package bouts

import (
	"math"
	"testing"
)

// roundsOf is a session of so many rounds of the given length at 200 and as long rests at
// 100, with the rounds where they are.
func roundsOf(seconds, count int, sd, timeConstant float64) (series, []member) {
	var y []float64
	var bouts []member
	for range count {
		for range seconds {
			y = append(y, 100)
		}
		bouts = append(bouts, member{Bout: Bout{
			Start: float64(len(y)), End: float64(len(y) + seconds), Confidence: Confirmed, StartHalf: 1, EndHalf: 1,
		}})
		for range seconds {
			y = append(y, 200)
		}
	}
	for range seconds {
		y = append(y, 100)
	}
	for i, e := range noisy(11, len(y), 0, sd, timeConstant) {
		y[i] += e
	}
	own := make([]bool, len(y))
	for i := range own {
		own[i] = true
	}
	return series{y: y, w: ones(len(y)), own: own, stopped: make([]bool, len(y))}, bouts
}

func TestHeldKnowsTheNoise(t *testing.T) {
	for _, timeConstant := range []float64{1, 4, 8} {
		p, bouts := roundsOf(240, 6, 10, timeConstant)
		h, ok := newHeld(p, bouts)
		if !ok {
			t.Fatal("not judged")
		}
		if want := math.Exp(-1 / timeConstant); math.Abs(h.phi-want) > 0.04 {
			t.Errorf("correlation %.3f, want %.3f", h.phi, want)
		}
		for _, v := range []float64{h.in, h.out} {
			if math.Abs(math.Sqrt(v)-10) > 1.5 {
				t.Errorf("time constant %v: standard deviation %.2f, want 10", timeConstant, math.Sqrt(v))
			}
		}
	}
}

// A fade and a change of level within a rest are no noise.
func TestHeldMindsNoShapes(t *testing.T) {
	p, bouts := roundsOf(240, 6, 5, 2)
	plain, _ := newHeld(p, bouts)
	for k, b := range bouts {
		for i := int(b.Start); i < int(b.End); i++ {
			p.y[i] *= 1.1 - 0.2*(float64(i)-b.Start)/b.Duration()
		}
		if k == 2 {
			for i := int(b.End) + 60; i < int(b.End)+120; i++ {
				p.y[i] = 30
			}
		}
	}
	h, _ := newHeld(p, bouts)
	if h.in > 1.3*plain.in || h.out > 1.3*plain.out || h.phi > plain.phi+0.05 {
		t.Errorf("%+v with shapes, %+v without", h, plain)
	}
}

func TestHeldNeedsRoom(t *testing.T) {
	p, bouts := roundsOf(20, 8, 5, 2)
	if h, ok := newHeld(p, bouts); ok {
		t.Errorf("judged as %+v from rounds of 20 s", h)
	}
}
