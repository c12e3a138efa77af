package bouts

import "math"

// series is the signal as the finder works on it: one value and one weight a
// second. A weight of 0 leaves a second out of every mean.
type series struct {
	y, w []float64

	// own marks the seconds that rest on a sample of their own, or on a
	// stopped recording.
	own []bool

	// stopped marks the seconds of a stopped recording, whose edges are exact.
	stopped []bool
}

// prepare turns an input into a series: a stopped recording becomes zero
// output, bridged seconds take the nearest sample's value (a straight line
// between two samples would round off every edge), and what is missing gets
// no weight.
func prepare(in Input, s Settings) series {
	n := len(in.Values)
	p := series{
		y:       append([]float64(nil), in.Values...),
		w:       make([]float64, n),
		own:     make([]bool, n),
		stopped: pauses(in, s.Pause),
	}
	zero := zeroOf(in.Signal)
	asleep := false
	for i, v := range p.y {
		// A power or speed sensor that falls silent at zero has gone to sleep:
		// nothing moves until it speaks again.
		missing := math.IsNaN(v) || math.IsInf(v, 0)
		asleep = missing && (asleep || i > 0 && p.own[i-1] && p.y[i-1] <= 0)
		switch {
		case in.Signal == HeartRate && missing:
			// A heart does not stop with the recording.
			p.y[i] = 0
		case p.stopped[i], asleep:
			p.y[i], p.w[i], p.own[i] = 0, 1, true
		case missing:
			p.y[i] = 0
		default:
			p.y[i] = v - zero
			p.w[i] = 1
			p.own[i] = in.Observed == nil || in.Observed[i]
		}
	}
	p.unbridge()
	return p
}

// restingCost is the part of the oxygen cost that standing has too, in
// mL/kg/min: the constant of the walking and running equations (Bushman 2020).
const restingCost = 3.5

// zeroOf is the value of a signal at no output.
func zeroOf(signal Signal) float64 {
	if signal == OxygenCost {
		return restingCost
	}
	return 0
}

// pauses marks the stretches of stopped recording that last at least shortest
// seconds.
func pauses(in Input, shortest int) []bool {
	n := len(in.Values)
	marks := make([]bool, n)
	if in.Recorded == nil {
		return marks
	}
	for i := 0; i < n; i++ {
		j := i
		for j < n && !in.Recorded[j] && math.IsNaN(in.Values[j]) {
			j++
		}
		if j-i >= shortest {
			for k := i; k < j; k++ {
				marks[k] = true
			}
		}
		i = max(i, j)
	}
	return marks
}

// unbridge replaces every bridged value by the nearest observed one, the
// earlier of two as near.
func (p series) unbridge() {
	n := len(p.y)
	for i := 0; i < n; i++ {
		if p.own[i] || p.w[i] == 0 {
			continue
		}
		j := i
		for j < n && !p.own[j] && p.w[j] > 0 {
			j++
		}
		// The stretch [i, j) lies between two samples, or at an end.
		for k := i; k < j; k++ {
			before, after := k-i+1, j-k
			if i > 0 && (before <= after || j == n) {
				p.y[k] = p.y[i-1]
			} else if j < n {
				p.y[k] = p.y[j]
			}
		}
		i = j
	}
}

// mostCoasting is the share of the moving time that short zeros may make up
// and still be coasting.
const mostCoasting = 0.25

// withoutStops returns the series with its short zeros left out: coasting, or
// a halt at a light, says nothing about the level that is being held. It
// reports whether there is any point in it: there must be such zeros, and not
// so many that they are the rests of a set.
func (p series) withoutStops(longest int) (series, bool) {
	w := append([]float64(nil), p.w...)
	zeros, moving := 0, 0
	for i := 0; i < len(w); i++ {
		j := i
		for j < len(w) && p.y[j] <= 0 && p.w[j] > 0 && !p.stopped[j] {
			j++
		}
		if j > i && j-i <= longest {
			zeros += j - i
			for k := i; k < j; k++ {
				w[k] = 0
			}
		}
		i = max(i, j)
	}
	for k := range w {
		if p.w[k] > 0 && p.y[k] > 0 {
			moving++
		}
	}
	q := p
	q.w = w
	return q, zeros > 0 && float64(zeros) < mostCoasting*float64(moving)
}
