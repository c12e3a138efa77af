package bouts

import (
	"math"
	"math/rand/v2"
	"testing"
)

// efforts is a day of easy riding with efforts of the given lengths in seconds,
// each as hard as it can be held.
func efforts(lengths []int, noise float64) []float64 {
	rng := rand.New(rand.NewPCG(3, 9))
	var level []float64
	stretch := func(seconds int, value float64) {
		for range seconds {
			level = append(level, value*(1+noise*rng.NormFloat64()))
		}
	}
	stretch(700, 90)
	for _, seconds := range lengths {
		stretch(seconds, 200+15000/float64(seconds))
		stretch(900, 90)
	}
	return level
}

func TestUnlikeEfforts(t *testing.T) {
	for _, lengths := range [][]int{{150, 560}, {240, 390}, {720, 180}, {180, 420, 900}, {120, 240, 480, 720}} {
		found := find(efforts(lengths, 0.05))
		if len(found) != len(lengths) {
			t.Errorf("%v: found %+v", lengths, found)
			continue
		}
		at := 700.0
		for k, seconds := range lengths {
			b := found[k]
			if b.Confidence != Confirmed || math.Abs(b.Start-at) > 1.5 || math.Abs(b.End-at-float64(seconds)) > 1.5 {
				t.Errorf("%v: effort %d is %+v, starts at %v", lengths, k+1, b, at)
			}
			at += float64(seconds) + 900
		}
	}
}

// What is not plain is no effort: one alone that is short, too many, the top of
// a stair, and what hardly stands out.
func TestNoEfforts(t *testing.T) {
	stair := make([]float64, 0, 2400)
	for k := range 2400 {
		stair = append(stair, 80+40*float64(k/600))
	}
	faint := efforts([]int{300, 700}, 0.05)
	for i, v := range faint {
		faint[i] = max(v, 230)
	}
	for name, values := range map[string][]float64{
		"one short":    efforts([]int{150}, 0.05),
		"too many":     efforts([]int{100, 145, 210, 310, 450, 650}, 0.05),
		"stair":        stair,
		"hardly above": faint,
	} {
		for _, b := range find(values) {
			if b.Confidence == Confirmed {
				t.Errorf("%s: confirmed %+v", name, b)
			}
		}
	}
}
