package bouts

// Heart rate follows demand as a first-order system: it closes on the rate
// that the work asks for, tau seconds late, after a delay. Turning that round,
//
//	demand(t) = h(t + delay) + tau * dh/dt
//
// gives back steps where the work changed, and the same search then serves
// for heart rate as for power. The derivative is taken from a line fitted
// over half a minute, which keeps its noise below the contrast of a bout.
const (
	slopeReach = 12 // s on either side of the fitted line

	// Typical time constants, s: heart rate rises in 30 to 60 s (44 to 41 s
	// in men of 30 to 80 years, PMID 8201899) and falls somewhat slower.
	typicalRise = 45.0
	typicalFall = 60.0

	// medianReach is the reach of a running median that takes out strap
	// artefacts of a few seconds.
	medianReach = 3
)

// demandOf turns a heart rate into the demand behind it, over a base
// level: rest costs beats too, so that shares of the rate itself mean little.
func demandOf(p series) series {
	rate := runningMedian(p.y, p.w)
	n := len(rate)
	q := series{y: make([]float64, n), w: make([]float64, n), own: p.own, stopped: make([]bool, n)}
	fits := newLines(rate, p.w)
	for i := range rate {
		level, slope, ok := fits.at(i)
		if !ok {
			continue
		}
		tau := typicalRise
		if slope < 0 {
			tau = typicalFall
		}
		q.y[i], q.w[i] = level+tau*slope, 1
	}
	q.lower(p)
	return q
}

// restingShare is the base level as a share of the session's high rate: near
// what most hearts beat at rest. The session's own lowest level would not do:
// on an even ride it lies close under the rest, and every ripple would stand
// high above it.
const restingShare = 0.5

// lower takes the base off the demand, and puts a stopped recording at it.
func (q series) lower(p series) {
	b := newBlocks(q.y, q.w, blockSeconds)
	base := restingShare * (&fit{blocks: b}).quantile(0.95)
	for i := range q.y {
		switch {
		case p.stopped[i]:
			q.y[i], q.w[i] = 0, 1
		case q.w[i] > 0:
			q.y[i] = max(0, q.y[i]-base)
		}
	}
}

// runningMedian takes out what lasts for a few seconds only. Its window is kept in
// order while it moves.
func runningMedian(y, w []float64) []float64 {
	n := len(y)
	out := make([]float64, n)
	var window [2*medianReach + 2]float64
	k := 0 // values in it
	for i := -medianReach; i < n; i++ {
		if j := i + medianReach; j < n && w[j] > 0 {
			at := k
			for ; at > 0 && window[at-1] > y[j]; at-- {
				window[at] = window[at-1]
			}
			window[at] = y[j]
			k++
		}
		if j := i - medianReach - 1; j >= 0 && w[j] > 0 {
			at := 0
			for window[at] < y[j] {
				at++
			}
			copy(window[at:k], window[at+1:k])
			k--
		}
		if i >= 0 && w[i] > 0 {
			out[i] = window[(k-1)/2]
		}
	}
	return out
}

// lines fits a straight line around every second, by running sums over the
// seconds that are present.
type lines []lineSums

// lineSums are those before a second: of weights, times, values and products.
type lineSums struct{ w, t, tt, y, ty float64 }

func newLines(y, w []float64) lines {
	l := make(lines, len(y)+1)
	var s lineSums
	for i, v := range y {
		if w[i] > 0 {
			t := float64(i)
			s.w++
			s.t += t
			s.tt += t * t
			s.y += v
			s.ty += t * v
		}
		l[i+1] = s
	}
	return l
}

// at returns the line's level and slope at second i; not where less than a
// third of the window is present.
func (l lines) at(i int) (level, slope float64, ok bool) {
	a, b := &l[max(0, i-slopeReach)], &l[min(len(l)-1, i+slopeReach+1)]
	w := b.w - a.w
	if w < (2*slopeReach+1)/3 {
		return 0, 0, false
	}
	mt := (b.t - a.t) / w
	my := (b.y - a.y) / w
	stt := (b.tt-a.tt)/w - mt*mt
	sty := (b.ty-a.ty)/w - mt*my
	if stt <= 0 {
		return 0, 0, false
	}
	slope = sty / stt
	return my + slope*(float64(i)-mt), slope, true
}
