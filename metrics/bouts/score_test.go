package bouts

import (
	"math"
	"testing"
)

// plain is a set that nobody would doubt.
var plain = features{
	regular: 5, rounds: 5, contrast: 0.5, moving: 0.5, easy: 0.5, typical: 240, clear: 50,
	sharp: 1, uneven: 0.1, work: 0.4,
}

func TestOddsFallWithEveryFault(t *testing.T) {
	faults := map[string]func(*features){
		"does not repeat":            func(x *features) { x.regular = 0 },
		"few rounds":                 func(x *features) { x.rounds = 2 },
		"as hard elsewhere":          func(x *features) { x.outside = 2 },
		"never easy":                 func(x *features) { x.easy = 0 },
		"not held":                   func(x *features) { x.uneven = 0.7 },
		"no edges":                   func(x *features) { x.sharp = 0.2 },
		"bouts of any length":        func(x *features) { x.durations = 0.7 },
		"starts with the session":    func(x *features) { x.open = true },
		"the ground explains it":     func(x *features) { x.climbing = 1 },
		"rests as fast, stops apart": func(x *features) { x.moving = 0.03 },
		"traffic lights":             func(x *features) { x.regular, x.lights = 1, 1 },
	}
	best := outputWeights.odds(plain)
	if p := probability(best); p < 0.95 {
		t.Fatalf("a plain set has a score of %v", p)
	}
	for name, spoil := range faults {
		x := plain
		spoil(&x)
		if got := outputWeights.odds(x); got >= best {
			t.Errorf("%s: odds %v, no less than %v", name, got, best)
		}
	}
	x := plain
	x.uneven = math.NaN()
	if got := probability(outputWeights.odds(x)); got != 0 {
		t.Errorf("a set that cannot be measured has a score of %v", got)
	}
}
