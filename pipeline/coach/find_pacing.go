package coach

import (
	"fmt"
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
			"went out too fast in %s: first quarter at %.0f %% of the bout's mean, last at %.0f %%",
			v.pacedWords(metrics.FastStart), meanQuarter(v, 1), meanQuarter(v, 4))
	case last < set.FadeLastPct:
		r.find(v, Soon, Faded, last, set.FadeLastPct, "output of the last bout in percent of the first; "+noSource,
			"faded: the last of %d bouts at %.0f %% of the first", n, last)
	case faded >= set.BoutSharePct:
		r.find(v, Soon, Faded, faded, set.BoutSharePct, "share of bouts whose output falls late; "+noSource,
			"faded within %s: last quarter at %.0f %% of the bout's mean", v.pacedWords(metrics.Fade), meanQuarter(v, 4))
	case uneven >= set.BoutSharePct:
		r.find(v, Soon, Uneven, uneven, set.BoutSharePct, "share of bouts that neither keep nor steadily change their output; "+noSource,
			"%s were not held evenly", v.pacedWords(metrics.Uneven))
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

// pacedWords is how many of the bouts had a pacing: 3 of 4 bouts.
func (v *view) pacedWords(pacing metrics.Pacing) string {
	hits, judged := v.paced(pacing)
	return fmt.Sprintf("%d of %s", hits, count(judged, "bout"))
}
