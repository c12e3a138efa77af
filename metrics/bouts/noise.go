package bouts

import "math"

// The noise of a held output is autocorrelated: what matters to the mean of a
// stretch of d seconds is the long-run variance V, by which that mean varies
// as V / d. It must be judged from below: an estimate from long pieces would
// take the rounds themselves for noise.

// noiseWindow is the piece in seconds whose means are compared for the first
// estimate: longer than most of the noise's memory, shorter than most bouts.
const noiseWindow = 10

// firstNoise estimates the long-run variance from the differences of
// neighbouring means. A low quantile stands for them all, because in a set of
// short rounds most of the differences are steps.
func firstNoise(p series) float64 {
	b := newBlocks(p.y, p.w, noiseWindow)
	diffs := make([]float64, 0, b.n)
	for k := 1; k < b.n; k++ {
		whole := b.weight[k+1] - b.weight[k-1]
		if whole < 2*noiseWindow*0.8 {
			continue
		}
		diffs = append(diffs, math.Abs(b.mean(k, k+1)-b.mean(k-1, k)))
	}
	if len(diffs) == 0 {
		return 0
	}
	// Of a normal variable's absolute values, 30 % lie below 0.385 standard
	// deviations.
	sd := ranked(diffs, len(diffs)*3/10) / 0.385
	return sd * sd / 2 * noiseWindow
}

// residualNoise estimates the long-run variance from what a fit leaves, by the
// means of 20 s pieces within the longer segments. NaN when there are too few.
func residualNoise(p series, f fit) float64 {
	const piece = 20
	sum, count := 0.0, 0
	for _, st := range f.steps {
		a, b := st.a*f.size, min(st.b*f.size, len(p.y))
		if b-a < 3*piece {
			continue
		}
		// Ramps at the edges are not noise.
		for i := a + piece/2; i+piece <= b-piece/2; i += piece {
			sw, sy := 0.0, 0.0
			for k := i; k < i+piece; k++ {
				sw += p.w[k]
				sy += p.w[k] * p.y[k]
			}
			if sw < piece/2 {
				continue
			}
			d := sy/sw - st.mean
			sum += d * d * sw
			count++
		}
	}
	if count < 5 {
		return math.NaN()
	}
	return sum / float64(count)
}
