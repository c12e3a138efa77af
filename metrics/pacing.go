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
	// percent, after the scatter within them is allowed for, that makes a bout
	// uneven. 8 %: treadmill and trainer bouts lie near 1 to 3 %, bouts on a
	// rolling road somewhat above 5 %.
	UnevenPct float64

	// Certainty is how many standard errors a difference must exceed besides.
	// 2, about 95 %: with the noise of outdoor power a limit alone would give
	// every short bout a word by chance.
	Certainty float64
}

// DefaultPacingLimits are the limits a practice starts with.
func DefaultPacingLimits() PacingLimits {
	return PacingLimits{ChangePct: 5, UnevenPct: 8, Certainty: 2}
}

// minPacingBlocks is the fewest valid 10 s means that pacing is judged from: a
// bout of at least 40 s. Below, a quarter is a few seconds.
const minPacingBlocks = 3

// PacingOf names the pacing of a bout from the output inside its edges (5 s at
// either end left out, as in [Blocks]), cut in four quarters. A difference
// counts when it exceeds both its limit and limits.Certainty standard errors;
// the standard error comes from the scatter that is too fast to be pacing (see
// pacingNoise).
//
//   - A bout declines when its last quarter lies below its first by
//     ChangePct, with no rise that counts between neighbouring quarters.
//     It is a fast_start when most of the decline comes early (the outer two
//     quarters together lie above the inner two), and a fade otherwise.
//   - It is a build when its last quarter lies above its first by ChangePct,
//     with no fall that counts between neighbouring quarters.
//   - It is uneven when it is none of these and its quarters differ among
//     themselves by ChangePct, or its 10 s means vary by UnevenPct beyond
//     the noise.
//   - Else it is even.
//
// The word describes output. A heart rate rises through any bout, and would
// always be called a build. It is [UnknownPacing] with fewer than three valid
// blocks, a quarter less than half measured, or a mean that is not positive.
func PacingOf(output []float64, bout Stretch, limits PacingLimits) Pacing {
	inner := bout.inner()
	blocks := Blocks(output, bout)
	quarters := Quarters(output, inner)
	noise := pacingNoise(output, bout)
	valid := countValid(blocks)
	if valid < minPacingBlocks || countValid(quarters[:]) < len(quarters) || math.IsNaN(noise) {
		return UnknownPacing
	}

	// A quarter averages a quarter of the blocks; a difference of two has the
	// errors of both.
	perQuarter := float64(valid) / 4
	standardError := noise / math.Sqrt(perQuarter) * math.Sqrt2
	least := max(limits.ChangePct, limits.Certainty*standardError)

	if word := shape(quarters, least); word != UnknownPacing {
		return word
	}
	if variesBeyond(coefficientOfVariation(blocks), noise, valid, limits) {
		return Uneven
	}
	return Even
}

// shape names what the four quarters do, where differences of at least least
// count; UnknownPacing when nothing counts.
func shape(quarters [4]float64, least float64) Pacing {
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
		// A convex course has lost most before its middle.
		if quarters[0]+quarters[3] > quarters[1]+quarters[2] {
			return FastStart
		}
		return Fade
	case change >= least && fall < least:
		return Build
	case highest-lowest >= least:
		return Uneven
	}
	return UnknownPacing
}

// variesBeyond tells whether the variation of the blocks, in percent, exceeds
// what noise explains by more than the limit, and surely so. The variance of n
// values scatters by √(2/(n−1)) of itself.
func variesBeyond(cv, noise float64, n int, limits PacingLimits) bool {
	excess := cv*cv - noise*noise
	doubt := limits.Certainty * math.Sqrt(2/float64(n-1)) * noise * noise
	return excess >= limits.UnevenPct*limits.UnevenPct && excess > doubt
}

// pacingNoise is the standard deviation, in percent of the bout's mean, that
// the 10 s means of a perfectly even bout would have: the larger of two
// estimates that a slow change of output leaves alone.
//
// The first compares the two halves of each block: the difference of two
// independent half-block means has four times the variance of the block's
// mean. It misses noise that lasts longer than a few seconds. The second
// compares neighbouring blocks: their differences have twice the variance
// (after von Neumann et al., Ann Math Stat 1941;12:153–162), and their median
// is not moved by the few differences that a deliberate change of pace makes.
func pacingNoise(output []float64, bout Stretch) float64 {
	inner := bout.inner().Of(output)
	halves := make([]float64, 0, len(inner)/blockSeconds)
	for ; len(inner) >= blockSeconds; inner = inner[blockSeconds:] {
		early := meanOfHalf(inner[:blockSeconds/2])
		late := meanOfHalf(inner[blockSeconds/2 : blockSeconds])
		halves = append(halves, (late-early)*(late-early))
	}
	within := math.Sqrt(stats.Mean(halves)) / 2

	blocks := Blocks(output, bout)
	steps := make([]float64, 0, len(blocks))
	for i := 1; i < len(blocks); i++ {
		steps = append(steps, math.Abs(blocks[i]-blocks[i-1]))
	}
	// The median of |N(0, 1)| is 0.6745.
	between := stats.Median(steps) / 0.6745 / math.Sqrt2

	// With gaps everywhere one of the two may be missing; the other serves.
	noise := within
	if math.IsNaN(noise) || between > noise {
		noise = between
	}
	return percentOf(noise, bout.Mean(output))
}
