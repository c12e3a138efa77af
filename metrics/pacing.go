package metrics

import (
	"math"

	"boutwise/metrics/stats"
)

// Pacing says in a word how a bout was paced.
type Pacing string

// The words for pacing. See [PacingOf] for when each is given.
const (
	Even          Pacing = "even"
	FastStart     Pacing = "fast_start"
	Fade          Pacing = "fade"
	Build         Pacing = "build"
	Uneven        Pacing = "uneven"
	UnknownPacing Pacing = "" // too short, or too little measured
)

// PacingLimits decides how much change of output is worth a word. All are
// common practice, without a source.
type PacingLimits struct {
	// ChangePct is the least change from the first quarter to the last, in
	// percent of the bout's mean, that makes a bout anything but even. 5 %: in
	// the middle of an effort of several minutes that is about the step between
	// one that can be held and one that cannot.
	ChangePct float64

	// UnevenPct is the least coefficient of variation of the 10 s means, in
	// percent, beyond what the noise within them explains, that makes a bout
	// uneven. 10 %: treadmill and trainer bouts lie near 1 to 3 %, well-held
	// bouts on a rolling road somewhat below 10 %.
	UnevenPct float64

	// Certainty is how many standard errors a difference must exceed besides.
	// 2.5: with the noise of outdoor power a limit alone would give every short
	// bout a word by chance, and as several differences are looked at, each
	// must be surer than the usual 2.
	Certainty float64
}

// DefaultPacingLimits are the limits a practice starts with.
func DefaultPacingLimits() PacingLimits {
	return PacingLimits{ChangePct: 5, UnevenPct: 10, Certainty: 2.5}
}

// minPacingBlocks is the fewest valid 10 s means that pacing is judged from: a
// bout of at least 40 s. Below, a quarter is a few seconds.
const minPacingBlocks = 3

// PacingOf names the pacing of a bout from the output inside its edges (5 s at
// either end left out, as in [Blocks]), cut in four quarters. Two quarters
// differ when they do so by ChangePct and by limits.Certainty standard errors,
// as their scatter says (see scatter).
//
//   - A bout declines when its last quarter differs from its first by being
//     lower, and no quarter differs from the one before by being higher. It is
//     a fast_start when most of the decline comes early (the outer two quarters
//     together lie above the inner two, by more than a tenth of ChangePct), and
//     a fade otherwise.
//   - It is a build when its last quarter differs from its first by being
//     higher, and no quarter from the one before by being lower.
//   - It is uneven when it is none of these and its highest and lowest quarters
//     differ, or its 10 s means vary by UnevenPct beyond what the noise within
//     them explains.
//   - Else it is even.
//
// The word describes output. A heart rate rises through any bout, and would
// always be called a build. It is [UnknownPacing] with fewer than three valid
// blocks, a quarter less than half measured, or a mean that is not positive.
func PacingOf(output []float64, bout Stretch, limits PacingLimits) Pacing {
	blocks := Blocks(output, bout)
	quarters := Quarters(output, bout.inner())
	noise := noiseWithin(output, bout)
	valid := countValid(blocks)
	if valid < minPacingBlocks || countValid(quarters[:]) < len(quarters) || math.IsNaN(noise) {
		return UnknownPacing
	}

	// A quarter averages a quarter of the blocks; a difference of two has the
	// errors of both.
	perQuarter := float64(valid) / 4
	standardError := scatter(blocks, noise) * math.Sqrt(2/perQuarter)
	least := max(limits.ChangePct, limits.Certainty*standardError)

	if word := shape(quarters, least, limits.ChangePct/10); word != Even {
		return word
	}
	if variesBeyond(coefficientOfVariation(blocks), noise, valid, limits) {
		return Uneven
	}
	return Even
}

// shape names what the four quarters do, where differences of at least least
// count: even when none does. A decline that bends by more than convex is a
// fast start.
func shape(quarters [4]float64, least, convex float64) Pacing {
	highest, lowest := quarters[0], quarters[0]
	rise, fall := 0.0, 0.0 // largest steps between neighbours
	for i := 1; i < len(quarters); i++ {
		highest = max(highest, quarters[i])
		lowest = min(lowest, quarters[i])
		rise = max(rise, quarters[i]-quarters[i-1])
		fall = max(fall, quarters[i-1]-quarters[i])
	}
	change := quarters[3] - quarters[0]
	switch {
	case change <= -least && rise < least:
		// A convex course has lost most before its middle. Rounding must not
		// make one of a straight line.
		if quarters[0]+quarters[3]-quarters[1]-quarters[2] > convex {
			return FastStart
		}
		return Fade
	case change >= least && fall < least:
		return Build
	case highest-lowest >= least:
		return Uneven
	}
	return Even
}

// variesBeyond tells whether the variation of the blocks, in percent, exceeds
// what noise explains by more than the limit, and surely so. The variance of n
// values scatters by √(2/(n−1)) of itself.
func variesBeyond(cv, noise float64, n int, limits PacingLimits) bool {
	excess := cv*cv - noise*noise
	doubt := limits.Certainty * math.Sqrt(2/float64(n-1)) * noise * noise
	return excess >= limits.UnevenPct*limits.UnevenPct && excess > doubt
}

// noiseWithin is the standard deviation, in percent of the bout's mean, that
// the 10 s means of a perfectly even bout would have from noise that lasts for
// a few seconds at most. It compares the two halves of each block: the
// difference of two independent means has four times the variance of the mean
// of both. Slow changes leave it alone.
func noiseWithin(output []float64, bout Stretch) float64 {
	inner := bout.inner().Of(output)
	squares := make([]float64, 0, len(inner)/blockSeconds)
	for ; len(inner) >= blockSeconds; inner = inner[blockSeconds:] {
		early := meanOfHalf(inner[:blockSeconds/2])
		late := meanOfHalf(inner[blockSeconds/2 : blockSeconds])
		squares = append(squares, (late-early)*(late-early))
	}
	return percentOf(math.Sqrt(stats.Mean(squares))/2, bout.Mean(output))
}

// scatter is the standard deviation, in percent of their mean, that blocks
// have for the sake of judging quarters: about a smooth course through the
// bout, and no less than the noise within them. The course is a line, or a
// parabola from six blocks on: enough for a fast start, a fade or a build to
// leave little behind, while noise that lasts longer than a block stays. What
// stays is enlarged as far as neighbouring blocks err alike, since means of
// such noise settle more slowly.
func scatter(blocks []float64, noise float64) float64 {
	n := len(blocks)
	ones, x, xx := make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range x {
		ones[i], x[i] = 1, float64(i)
		xx[i] = x[i] * x[i]
	}
	course := [][]float64{ones, x, xx}
	if countValid(blocks) < 6 {
		course = course[:2]
	}
	fit, err := stats.LeastSquares(blocks, course...)
	if err != nil {
		return noise
	}

	// The autocorrelation r of neighbours multiplies the variance of a mean by
	// (1+r)/(1−r). From a few blocks r is a guess, so it is kept below one half.
	products := make([]float64, 0, n)
	residual := func(i int) float64 {
		at := []float64{1, x[i], xx[i]}
		return blocks[i] - fit.Value(at[:len(course)]...)
	}
	for i := 1; i < n; i++ {
		products = append(products, residual(i)*residual(i-1))
	}
	alike := stats.Mean(products) / (fit.SD * fit.SD)
	if !(alike > 0) {
		alike = 0
	}
	alike = min(alike, 0.5)
	about := percentOf(fit.SD, stats.Mean(blocks)) * math.Sqrt((1+alike)/(1-alike))
	if about > noise {
		return about
	}
	return noise
}
