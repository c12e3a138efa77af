package synthetic

import "math"

// shape is how the output of one bout runs from its start (x = 0) to its end
// (x = 1), as a multiple of its level.
type shape func(x float64) float64

// even holds the level.
func even(float64) float64 { return 1 }

// fastStart begins a share above where the bout settles; most of it is gone
// after a quarter of the bout.
func fastStart(share float64) shape {
	return func(x float64) float64 { return 1 + share*math.Exp(-x/0.12) }
}

// fade falls evenly by a share of the level from start to end; a negative
// share builds.
func fade(share float64) shape {
	return func(x float64) float64 { return 1 + share*(0.5-x) }
}

// lateFade holds the level for two thirds and then falls by a share of it.
func lateFade(share float64) shape {
	return func(x float64) float64 { return 1 - share*max(0, (x-0.67)/0.33) }
}

// wave rises and falls by a share of the level, some times a bout.
func wave(share, times float64) shape {
	return func(x float64) float64 { return 1 + share*math.Sin(2*math.Pi*times*x) }
}

// both multiplies two shapes: a fast start that also fades, say.
func both(a, b shape) shape {
	return func(x float64) float64 { return a(x) * b(x) }
}
