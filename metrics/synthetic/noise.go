package synthetic

import (
	"math"
	"math/rand/v2"
)

// NewRand returns the generator that every invented session draws from: the
// same seed and stream give the same numbers on every machine.
func NewRand(seed, stream uint64) *rand.Rand {
	return rand.New(rand.NewPCG(seed, stream))
}

// AR1 is autocorrelated noise of the first order, the simplest that looks
// like a person holding an output: what is left of a deviation after t
// seconds is exp(-t/TimeConstant).
type AR1 struct {
	SD           float64 // standard deviation, in the unit of the signal
	TimeConstant float64 // s; 0 or less gives white noise
}

// Series returns n seconds of noise with mean 0. The first value is drawn
// from the stationary distribution, so that the series has no warm-up.
func (a AR1) Series(rng *rand.Rand, n int) []float64 {
	phi := 0.0
	if a.TimeConstant > 0 {
		phi = math.Exp(-1 / a.TimeConstant)
	}
	// The innovation's size that keeps the variance at SD squared.
	innovation := a.SD * math.Sqrt(1-phi*phi)
	x := make([]float64, n)
	level := a.SD * rng.NormFloat64()
	for i := range x {
		x[i] = level
		level = phi*level + innovation*rng.NormFloat64()
	}
	return x
}

// between draws uniformly from [lo, hi).
func between(rng *rand.Rand, lo, hi float64) float64 {
	return lo + (hi-lo)*rng.Float64()
}

// pick draws one of the choices.
func pick[T any](rng *rand.Rand, choices ...T) T {
	return choices[rng.IntN(len(choices))]
}

// chance is true with probability p.
func chance(rng *rand.Rand, p float64) bool { return rng.Float64() < p }
