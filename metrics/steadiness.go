package metrics

import (
	"math"

	"boutwise/metrics/stats"
)

const (
	// blockSeconds is the length of the means that steadiness is judged by:
	// long enough to even out strides and pedal strokes, short enough to show
	// how a bout was held.
	blockSeconds = 10

	// edgeSeconds is left out at either end of a bout, where the output still
	// rises or already falls and where the boundary itself is uncertain.
	edgeSeconds = 5
)

// Blocks are the means of consecutive 10 s from 5 s after the bout's start to
// 5 s before its end. A shorter rest at the end is dropped. A block with fewer
// than half its seconds valid is NaN. A bout under 20 s has none.
func Blocks(output []float64, bout Stretch) []float64 {
	inner := bout.inner().Of(output)
	blocks := make([]float64, 0, len(inner)/blockSeconds)
	for ; len(inner) >= blockSeconds; inner = inner[blockSeconds:] {
		blocks = append(blocks, meanOfHalf(inner[:blockSeconds]))
	}
	return blocks
}

// inner is the bout without its edges. The boundaries are rounded first, so
// that the edges are whole seconds.
func (s Stretch) inner() Stretch {
	return Stretch{math.Round(s.Start) + edgeSeconds, math.Round(s.End) - edgeSeconds}
}

// SteadinessCV is the sample standard deviation of the bout's [Blocks] over
// their mean, in percent: 0 is perfectly even. NaN with fewer than two valid
// blocks (a bout under 30 s) or a mean that is not positive.
func SteadinessCV(output []float64, bout Stretch) float64 {
	return coefficientOfVariation(Blocks(output, bout))
}

// coefficientOfVariation is the sample standard deviation over the mean, in
// percent; NaN unless the mean is positive.
func coefficientOfVariation(x []float64) float64 {
	return percentOf(stats.SampleSD(x), stats.Mean(x))
}

// BetweenBoutCV is the coefficient of variation, in percent, of the mean
// outputs of a session's bouts; NaN with fewer than two.
func BetweenBoutCV(means []float64) float64 { return coefficientOfVariation(means) }

// LastToFirst is the last bout's mean output over the first one's, in percent;
// NaN with fewer than two bouts or when either mean is missing.
func LastToFirst(means []float64) float64 {
	if len(means) < 2 {
		return math.NaN()
	}
	return percentOf(means[len(means)-1], means[0])
}

// DriftPerMinute is the Theil–Sen slope of the bout's [Blocks], a minute, over
// the bout's mean, in percent: below 0 when the output fell. NaN with fewer
// than two valid blocks or a mean that is not positive.
func DriftPerMinute(output []float64, bout Stretch) float64 {
	blocks := Blocks(output, bout)
	minutes := make([]float64, len(blocks))
	for i := range minutes {
		minutes[i] = float64(i) * blockSeconds / 60
	}
	line := stats.TheilSen(minutes, blocks, math.NaN())
	return percentOf(line.Slope, bout.Mean(output))
}

// Quarters are the means of the four quarters of the bout's duration over the
// bout's mean, in percent. A quarter with fewer than half its seconds valid is
// NaN, and so are all where the mean is not positive.
func Quarters(output []float64, bout Stretch) [4]float64 {
	mean := bout.Mean(output)
	var quarters [4]float64
	for i, q := range bout.quarters() {
		quarters[i] = percentOf(meanOfHalf(q.Of(output)), mean)
	}
	return quarters
}

// quarters cuts the stretch in four of equal duration.
func (s Stretch) quarters() [4]Stretch {
	var cut [4]Stretch
	for i := range cut {
		cut[i] = Stretch{
			s.Start + s.Duration()*float64(i)/4,
			s.Start + s.Duration()*float64(i+1)/4,
		}
	}
	return cut
}

// percentOf is value over base in percent; NaN unless the base is positive.
func percentOf(value, base float64) float64 {
	if !(base > 0) {
		return math.NaN()
	}
	return 100 * value / base
}
