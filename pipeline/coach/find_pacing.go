package coach

import (
	"math"

	"boutwise/metrics"
)

// inBouts tells sessions whose bouts are meant to be held.
func (v *view) inBouts() bool {
	return v.kind() == metrics.BaseWithBursts || v.kind() == metrics.Intervals
}

// lookAtPacing asks whether the bouts were held. A session gets one word: a
// start that was too fast explains fading and unevenness too.
func (r *review) lookAtPacing(v *view) {
	if !v.inBouts() {
		return
	}
	set := r.set.Findings
	fast, faded, uneven := v.pacedPct(metrics.FastStart), v.pacedPct(metrics.Fade), v.pacedPct(metrics.Uneven)
	last := v.lastToFirst()
	switch n := len(v.confirmed); {
	case fast >= set.BoutSharePct:
		r.find(v, Soon, FastStart, fast, set.BoutSharePct, "share of bouts whose output falls early from its first quarter; "+noSource,
			"went out too fast in %.0f %% of %d bouts: first quarter at %.0f %% of the bout's mean, last at %.0f %%",
			fast, n, meanQuarter(v, 1), meanQuarter(v, 4))
	case last < set.FadeLastPct:
		r.find(v, Soon, Faded, last, set.FadeLastPct, "output of the last bout in percent of the first; "+noSource,
			"faded: the last of %d bouts at %.0f %% of the first", n, last)
	case faded >= set.BoutSharePct:
		r.find(v, Soon, Faded, faded, set.BoutSharePct, "share of bouts whose output falls late; "+noSource,
			"faded within %.0f %% of %d bouts: last quarter at %.0f %% of the bout's mean", faded, n, meanQuarter(v, 4))
	case uneven >= set.BoutSharePct:
		r.find(v, Soon, Uneven, uneven, set.BoutSharePct, "share of bouts that neither keep nor steadily change their output; "+noSource,
			"%.0f %% of %d bouts were not held evenly", uneven, n)
	}
}

// meanQuarter is the mean over the bouts of one quarter's output in percent of
// the bout's; NaN where none has it.
func meanQuarter(v *view, quarter int) float64 {
	sum, n := 0.0, 0
	for _, b := range v.confirmed {
		if q := [...]*float64{b.Quarter1, b.Quarter2, b.Quarter3, b.Quarter4}[quarter-1]; q != nil {
			sum += *q
			n++
		}
	}
	if n == 0 {
		return math.NaN()
	}
	return sum / float64(n)
}
