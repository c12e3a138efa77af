package metrics

import (
	"fmt"
	"math"

	"boutwise/metrics/stats"
)

// Decay is a fitted mono-exponential fall, y(t) = Level + Drop·exp(−t/Tau),
// with t in seconds from the first whole second of the stretch. First-order
// kinetics are the usual model of heart rate after exercise (common in the
// literature, from memory). It describes what follows a submaximal effort well,
// a maximal one not (abstracts in J Auton Nerv Syst 2000 and IEEE EMBS 2006).
//
// The standard errors are those of independent residuals. Those of a heart
// rate are alike from second to second, so the errors are lower bounds.
type Decay struct {
	Level, LevelErr float64 // where the fall leads, in the column's unit
	Drop, DropErr   float64 // how far it lies below the start, in the column's unit
	Tau, TauErr     float64 // time constant, s: 63 % of the drop are over after it
	SD              float64 // residual standard deviation, in the column's unit
	N               int     // seconds that had a value
}

// DecayLimits decides what data may carry a time constant.
type DecayLimits struct {
	// MinSeconds is the shortest stretch. 150: time constants settle with about
	// three minutes of data (the same abstracts), and a recovery of three minutes
	// loses some of them to its boundaries and to the delay of heart rate.
	MinSeconds float64

	// MinValidPct is the least share of its seconds with a value. 80: the steep
	// beginning decides the fit, and a gap of half a minute may hide it. Common
	// practice.
	MinValidPct float64

	// MinTau is the lowest time constant, in seconds, that is believed. 5: a
	// heart-rate sensor averages over about as long. Common practice. The
	// highest is the stretch's own length, in which 63 % of the drop is seen: of
	// a slower fall the level would be a guess.
	MinTau float64

	// MinDrop is the least fall within the stretch, in the column's unit. 10 bpm:
	// heart rate in steady work wanders by a few. Common practice.
	MinDrop float64

	// MaxErrPct is the largest standard error of the time constant, in percent
	// of it. 20: repeated heart-rate recoveries differ by about as much (SEM near
	// 20 % at one minute, Int J Sports Med 2008;29:238–243, abstract).
	MaxErrPct float64
}

// DefaultDecayLimits are the limits for heart rate in bpm.
func DefaultDecayLimits() DecayLimits {
	return DecayLimits{MinSeconds: 150, MinValidPct: 80, MinTau: 5, MinDrop: 10, MaxErrPct: 20}
}

// maxOnset is how long after the end of work heart rate may still rise or
// stand, in seconds: it answers with some delay, and the boundary has an error
// of its own. Common practice.
const maxOnset = 30

// HRRecoveryTau is the time constant, in seconds, of heart rate's fall in a
// recovery: [FitDecay] from the last of the highest values in its first half
// minute on, since heart rate still rises when the work is over. NaN where the
// data cannot bear the fit.
func HRRecoveryTau(hr []float64, recovery Stretch) float64 {
	onset := Stretch{recovery.Start, math.Min(recovery.Start+maxOnset, recovery.End)}
	peak := onset.Peak(hr)
	first, last := onset.seconds(len(hr))
	for i := last - 1; i >= first; i-- {
		if hr[i] == peak {
			recovery.Start = float64(i)
			break
		}
	}
	fall, err := FitDecay(hr, recovery, DefaultDecayLimits())
	if err != nil {
		return math.NaN()
	}
	return fall.Tau
}

// FitDecay fits a mono-exponential fall to the column's values in the stretch
// by least squares, or refuses with an error that wraps [ErrRefused]: a stretch
// that is too short or has too few values, values that do not fall, or not far
// enough, a time constant outside the limits or too uncertain.
//
// The fit is separable (Golub GH, Pereyra V, SIAM J Numer Anal
// 1973;10:413–432, from memory): given a time constant the best level and drop
// are a linear fit, which leaves a search over the time constant alone.
func FitDecay(column []float64, s Stretch, limits DecayLimits) (Decay, error) {
	y := s.Of(column)
	refuse := func(format string, args ...any) (Decay, error) {
		return Decay{}, fmt.Errorf("exponential fall: %w: %s", ErrRefused, fmt.Sprintf(format, args...))
	}
	seconds := float64(len(y))
	if seconds < limits.MinSeconds || seconds == 0 {
		return refuse("%.0f s, %g needed", seconds, limits.MinSeconds)
	}
	if valid := 100 * float64(countValid(y)) / seconds; valid < limits.MinValidPct {
		return refuse("%.0f %% of the seconds have a value, %g needed", valid, limits.MinValidPct)
	}
	if !(limits.MinTau > 0 && limits.MinTau < seconds) {
		return refuse("no time constant lies between %g s and the stretch's %.0f s", limits.MinTau, seconds)
	}

	tau, inside := bestTau(y, limits.MinTau, seconds)
	if !inside {
		return refuse("no time constant between %g s and the stretch's %.0f s fits best", limits.MinTau, seconds)
	}
	d, err := decayAt(y, tau)
	if err != nil {
		return refuse("%v", err)
	}
	if fall := d.Drop * -math.Expm1(-seconds/d.Tau); !(fall >= limits.MinDrop) {
		return refuse("a fall of %.1f, %g needed", fall, limits.MinDrop)
	}
	if pct := percentOf(d.TauErr, d.Tau); !(pct <= limits.MaxErrPct) {
		return refuse("a time constant of %.0f s is uncertain by %.0f %%, at most %g %% is worth telling", d.Tau, pct, limits.MaxErrPct)
	}
	return d, nil
}

// bestTau searches the time constant with the least squared error: along a
// grid of equal ratios, so that the least of several minima is taken, and then
// where the derivative crosses zero. It tells whether the minimum lies between
// the bounds.
func bestTau(y []float64, low, high float64) (tau float64, inside bool) {
	const steps = 16
	// About the mean, so that the sums below keep their digits.
	mean := stats.Mean(y)
	// The grid reaches one step beyond the bounds, so that a minimum just within
	// them lies between two of its points.
	ratio := math.Pow(high/low, 1.0/steps)
	at := func(step int) float64 { return low * math.Pow(ratio, float64(step)) }
	best, bestRSS := 0, math.Inf(1)
	for i := -1; i <= steps+1; i++ {
		if _, rss := projectDecay(y, mean, at(i)); rss < bestRSS {
			best, bestRSS = i, rss
		}
	}
	if best < 0 || best > steps {
		return math.NaN(), false
	}
	tau = stats.FallingRoot(at(best-1), at(best+1), 1e-9, func(tau float64) float64 {
		onwards, _ := projectDecay(y, mean, tau)
		return onwards
	})
	return tau, tau > low && tau < high
}

// projectDecay gives, for the best level and drop at a time constant, a number
// with the sign in which a larger one would fit better, and the squared error.
// Values are taken about offset; missing ones are left out.
func projectDecay(y []float64, offset, tau float64) (onwards, rss float64) {
	step := math.Exp(-1 / tau)
	var n, su, suu, sy, syy, syu float64 // u is exp(−t/τ)
	var stu, stuu, sytu float64          // and tu its derivative in τ, but for τ²
	u := 1.0
	for t, v := range y {
		if !math.IsNaN(v) {
			v -= offset
			tu := float64(t) * u
			n++
			su += u
			suu += u * u
			sy += v
			syy += v * v
			syu += v * u
			stu += tu
			stuu += tu * u
			sytu += v * tu
		}
		u *= step
	}
	drop := (syu - su*sy/n) / (suu - su*su/n)
	level := (sy - drop*su) / n
	// The derivative of the squared error in τ is −2·drop/τ² times the sum of
	// residual times tu.
	onwards = drop * (sytu - level*stu - drop*stuu)
	return onwards, syy - level*sy - drop*syu
}

// decayAt is the fit at a time constant, with the standard errors of the model
// linearised there in all three parameters.
func decayAt(y []float64, tau float64) (Decay, error) {
	ones, u := make([]float64, len(y)), make([]float64, len(y))
	for t := range y {
		ones[t], u[t] = 1, math.Exp(-float64(t)/tau)
	}
	line, err := stats.LeastSquares(y, ones, u)
	if err != nil {
		return Decay{}, err
	}
	level, drop := line.Coef[0], line.Coef[1]
	residual, dTau := make([]float64, len(y)), make([]float64, len(y))
	for t := range y {
		residual[t] = y[t] - level - drop*u[t]
		dTau[t] = drop * float64(t) / (tau * tau) * u[t]
	}
	full, err := stats.LeastSquares(residual, ones, u, dTau)
	if err != nil {
		return Decay{}, err
	}
	return Decay{
		Level: level, LevelErr: full.StdErr[0], Drop: drop, DropErr: full.StdErr[1],
		Tau: tau, TauErr: full.StdErr[2], SD: full.SD, N: full.N,
	}, nil
}
