package metrics

import (
	"errors"
	"fmt"
	"math"

	"boutwise/metrics/stats"
)

// ErrRefused marks an estimate that the data cannot bear. The error that wraps
// it says why and what would help.
var ErrRefused = errors.New("no estimate")

// Effort is a maximal effort: a duration held to exhaustion, or as well as the
// client could, at a mean power.
type Effort struct {
	Seconds, Watts float64
}

// PowerModel is one of the three equivalent ways to write the two-parameter
// model (P − CP)·t = W′ (Monod H, Scherrer J, Ergonomics 1965;8:329–338). They
// differ in whose error a fit makes small. A client's data are fitted by
// [InverseTime] alone; the others are what publications print, and stay to be
// compared with them and, by scripts/crosscheck, with reference libraries.
type PowerModel string

const (
	// WorkTime fits work on time, P·t = W′ + CP·t (Moritani T et al.,
	// Ergonomics 1981;24:339–350). Its R² flatters: time is on both sides.
	WorkTime PowerModel = "work_time"

	// InverseTime fits power on inverse time, P = CP + W′/t: for bouts of a
	// given duration, where power is what varies.
	InverseTime PowerModel = "inverse_time"

	// Hyperbola fits time on power, t = W′/(P − CP), by least squares in t: for
	// tests at a given power to exhaustion.
	Hyperbola PowerModel = "hyperbola"
)

// CriticalPower is a fitted model.
type CriticalPower struct {
	Model  PowerModel
	CP     float64 // critical power, W
	WPrime float64 // work above critical power, J

	// Standard errors and confidence limits by Student's t; NaN with two
	// efforts, which leave nothing to judge by.
	CPErr, WPrimeErr      float64
	CPLow, CPHigh         float64
	WPrimeLow, WPrimeHigh float64
	Confidence            float64
	Efforts               int
	R2                    float64 // of the regression; for the hyperbola, of t about its mean
	ResidualSS            float64 // in the unit of the fitted variable: J², W² or s²
	covariance, tWidth    float64
}

// FitCriticalPower fits the model to the efforts as they are: it checks
// nothing but that they determine the two parameters. Use
// [EstimateCriticalPower] on a client's data.
func FitCriticalPower(efforts []Effort, model PowerModel, confidence float64) (CriticalPower, error) {
	var fit stats.Fit
	var err error
	switch model {
	case WorkTime:
		fit, err = fitWorkTime(efforts)
	case InverseTime:
		fit, err = fitInverseTime(efforts)
	case Hyperbola:
		fit, err = fitHyperbola(efforts)
	default:
		return CriticalPower{}, fmt.Errorf("unknown critical power model %q", model)
	}
	if err != nil {
		return CriticalPower{}, fmt.Errorf("critical power: %w: %w", ErrRefused, err)
	}

	// All three fits give CP first and W′ second.
	cp := CriticalPower{
		Model: model, CP: fit.Coef[0], WPrime: fit.Coef[1],
		CPErr: fit.StdErr[0], WPrimeErr: fit.StdErr[1],
		Confidence: confidence, Efforts: fit.N, R2: fit.R2, ResidualSS: fit.RSS,
		covariance: fit.Cov[0][1], tWidth: fit.Quantile(confidence),
	}
	cp.CPLow, cp.CPHigh = interval(cp.CP, cp.CPErr*cp.tWidth)
	cp.WPrimeLow, cp.WPrimeHigh = interval(cp.WPrime, cp.WPrimeErr*cp.tWidth)
	return cp, nil
}

// interval is centre ± half.
func interval(centre, half float64) (low, high float64) { return centre - half, centre + half }

// fitWorkTime regresses work on time.
func fitWorkTime(efforts []Effort) (stats.Fit, error) {
	n := len(efforts)
	ones, seconds, work := make([]float64, n), make([]float64, n), make([]float64, n)
	for i, e := range efforts {
		ones[i], seconds[i], work[i] = 1, e.Seconds, e.Seconds*e.Watts
	}
	return stats.LeastSquares(work, seconds, ones)
}

// fitInverseTime regresses power on the inverse of time.
func fitInverseTime(efforts []Effort) (stats.Fit, error) {
	n := len(efforts)
	ones, inverse, watts := make([]float64, n), make([]float64, n), make([]float64, n)
	for i, e := range efforts {
		ones[i], inverse[i], watts[i] = 1, 1/e.Seconds, e.Watts
	}
	return stats.LeastSquares(watts, ones, inverse)
}

// errNoHyperbola tells that no asymptote above zero is best.
var errNoHyperbola = errors.New("no hyperbola with a critical power above zero fits best")

// fitHyperbola minimises Σ(t − W′/(P − CP))². For a given CP the best W′ is a
// linear fit, which leaves a search over CP alone: along a fine grid between
// zero and the lowest power, dense near the latter where the curve is steep,
// and then by bisection of the derivative. Newton steps in both parameters fail
// on efforts that lie close to the asymptote.
func fitHyperbola(efforts []Effort) (stats.Fit, error) {
	lowest := math.Inf(1)
	for _, e := range efforts {
		lowest = min(lowest, e.Watts)
	}
	const points = 400
	grid := make([]float64, points)
	best, bestRSS := -1, math.Inf(1)
	for i := range grid {
		// The distance to the lowest power falls from all of it to a millionth.
		grid[i] = lowest * (1 - math.Pow(10, -6*float64(i)/(points-1)))
		if _, _, rss := hyperbolaAt(efforts, grid[i]); rss < bestRSS {
			best, bestRSS = i, rss
		}
	}
	if best < 1 || best == points-1 {
		return stats.Fit{}, errNoHyperbola
	}

	// Left of the minimum the derivative's sign says onwards, right of it back.
	low, high := grid[best-1], grid[best+1]
	for range 100 {
		middle := low + (high-low)/2
		if _, onwards, _ := hyperbolaAt(efforts, middle); onwards > 0 {
			low = middle
		} else {
			high = middle
		}
	}
	cp := low + (high-low)/2
	w, _, _ := hyperbolaAt(efforts, cp)
	return hyperbolaFit(efforts, cp, w)
}

// hyperbolaAt gives the best W′ for a CP, a number with the sign in which a
// larger CP would fit better, and the residual sum of squares.
func hyperbolaAt(efforts []Effort, cp float64) (w, onwards, rss float64) {
	var tu, uu float64
	for _, e := range efforts {
		u := 1 / (e.Watts - cp)
		tu += e.Seconds * u
		uu += u * u
	}
	w = tu / uu
	for _, e := range efforts {
		u := 1 / (e.Watts - cp)
		r := e.Seconds - w*u
		onwards += r * u * u
		rss += r * r
	}
	return w, onwards, rss
}

// hyperbolaFit is the fit at the minimum, with the covariance of the model
// linearised there in CP and W′.
func hyperbolaFit(efforts []Effort, cp, w float64) (stats.Fit, error) {
	var residual, dCP, dW, seconds []float64
	for _, e := range efforts {
		u := 1 / (e.Watts - cp)
		residual = append(residual, e.Seconds-w*u)
		dCP = append(dCP, w*u*u)
		dW = append(dW, u)
		seconds = append(seconds, e.Seconds)
	}
	fit, err := stats.LeastSquares(residual, dCP, dW)
	if err != nil {
		return stats.Fit{}, err
	}
	sd := stats.SampleSD(seconds)
	fit.Coef = []float64{cp, w}
	fit.R2 = 1 - fit.RSS/(sd*sd*float64(len(efforts)-1))
	return fit, nil
}

// PowerFor is the power in W that the model says can be held for a duration
// in seconds, with the confidence limits of the model's line. A single day's
// effort scatters more. NaN unless the duration is positive.
func (c CriticalPower) PowerFor(seconds float64) (watts, low, high float64) {
	if !(seconds > 0) {
		return math.NaN(), math.NaN(), math.NaN()
	}
	watts = c.CP + c.WPrime/seconds
	// CP and W′ err in opposite directions; the covariance says how far.
	variance := c.CPErr*c.CPErr + c.WPrimeErr*c.WPrimeErr/(seconds*seconds) + 2*c.covariance/seconds
	low, high = interval(watts, c.tWidth*math.Sqrt(math.Max(variance, 0)))
	return watts, low, high
}

// CapacityLimits decides what data may carry an estimate.
type CapacityLimits struct {
	// MinSeconds and MaxSeconds bound the efforts that count: the model holds
	// for 2 to 20 minutes (the hyperbola is too high for sprints and for hours).
	MinSeconds, MaxSeconds float64

	// MinEfforts is the fewest efforts. 3: two always fit, and show nothing.
	MinEfforts int

	// MinSpan is the least ratio of the longest to the shortest. 2: closer
	// together, a percent of power decides the slope. Common practice.
	MinSpan float64

	// Confidence is that of all intervals; 0.95.
	Confidence float64

	// MaxHalfWidthPct is the widest half of critical power's interval that is
	// still worth telling, in percent. 10: field tests repeat to about 5 % (Karsten
	// B et al., Eur J Appl Physiol 2015;115:197–204).
	MaxHalfWidthPct float64

	// MinVO2Error is the least standard error, as a share, of an oxygen uptake
	// extrapolated from heart rate. 0.10: submaximal tests err by 9 to 18 %
	// (Björkman F et al., Eur J Appl Physiol 2016;116:1627–1638).
	MinVO2Error float64

	// MinStageRise is the least rise of heart rate between the easiest and the
	// hardest stage, in bpm. 10: a difference of two or three is noise that the
	// extrapolation multiplies. Common practice.
	MinStageRise float64

	// VO2Low and VO2High bound a plausible maximal oxygen uptake in mL/kg/min;
	// 10 and 90. Healthy adults of 20 to 29 years have 43 and 54 on average (Loe
	// H et al., PLoS One 2013;8:e64319).
	VO2Low, VO2High float64
}

// DefaultCapacityLimits are the limits a practice starts with.
func DefaultCapacityLimits() CapacityLimits {
	return CapacityLimits{
		MinSeconds: 120, MaxSeconds: 1200, MinEfforts: 3, MinSpan: 2,
		Confidence: 0.95, MaxHalfWidthPct: 10,
		MinVO2Error: 0.10, MinStageRise: 10, VO2Low: 10, VO2High: 90,
	}
}

// EstimateCriticalPower fits the inverse-time form, as bouts have a prescribed
// duration, to the efforts of 2 to 20 minutes, or refuses with an error that
// wraps [ErrRefused].
func EstimateCriticalPower(efforts []Effort, limits CapacityLimits) (CriticalPower, error) {
	var kept []Effort
	shortest, longest := math.Inf(1), 0.0
	for _, e := range efforts {
		if e.Seconds >= limits.MinSeconds && e.Seconds <= limits.MaxSeconds && e.Watts > 0 {
			kept = append(kept, e)
			shortest, longest = min(shortest, e.Seconds), max(longest, e.Seconds)
		}
	}
	refuse := func(format string, args ...any) (CriticalPower, error) {
		return CriticalPower{}, fmt.Errorf("critical power: %w: %s", ErrRefused, fmt.Sprintf(format, args...))
	}
	if len(kept) < limits.MinEfforts {
		return refuse("maximal efforts of %g to %g min: %d, of the %d needed",
			limits.MinSeconds/60, limits.MaxSeconds/60, len(kept), limits.MinEfforts)
	}
	if longest < limits.MinSpan*shortest {
		return refuse("the longest effort (%.0f s) must last %g times the shortest (%.0f s)",
			longest, limits.MinSpan, shortest)
	}

	fit, err := FitCriticalPower(kept, InverseTime, limits.Confidence)
	switch {
	case err != nil:
		return CriticalPower{}, err
	case fit.CP <= 0:
		return refuse("the efforts give a critical power of %.0f W", fit.CP)
	case fit.WPrime <= 0:
		return refuse("power does not fall with duration: some effort was not maximal")
	}
	if half := percentOf(fit.CPHigh-fit.CP, fit.CP); !(half <= limits.MaxHalfWidthPct) {
		return refuse("uncertain by %.0f %%, at most %g %% is worth telling; more efforts of different length would help",
			half, limits.MaxHalfWidthPct)
	}
	return fit, nil
}
