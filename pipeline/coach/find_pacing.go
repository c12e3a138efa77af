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

// lookAtPacing asks whether the bouts were held.
func (r *review) lookAtPacing(v *view) {
	if !v.inBouts() {
		return
	}
	if f, is := r.pacingFault(v); is {
		r.find(v, Soon, f.name, f.value, f.limit, f.method+"; "+noSource, "%s", f.message)
	}
}

// fault is what a finding says of a session.
type fault struct {
	name            string
	value, limit    float64
	method, message string
}

// pacingFault tells how a session's bouts were not held. A session gets one
// word: a start that was too fast explains fading and unevenness too.
func (r *review) pacingFault(v *view) (f fault, is bool) {
	set := r.set.Findings
	say := func(name string, value, limit float64, method, format string, args ...any) (fault, bool) {
		return fault{name, value, limit, method, fmt.Sprintf(format, args...)}, true
	}
	fast, faded, uneven := v.pacedPct(metrics.FastStart), v.pacedPct(metrics.Fade), v.pacedPct(metrics.Uneven)
	last := v.lastToFirst()
	switch n := len(v.confirmed); {
	case fast >= set.BoutSharePct:
		return say(FastStart, fast, set.BoutSharePct, "share of bouts whose output falls early from its first quarter",
			"went out too fast in %s: first quarter at %.0f %% of the bout's mean, last at %.0f %%",
			v.pacedWords(metrics.FastStart), meanQuarter(v, 1), meanQuarter(v, 4))
	case last < set.FadeLastPct:
		return say(Faded, last, set.FadeLastPct, "output of the last bout in percent of the first",
			"faded: the last of %d bouts at %.0f %% of the first", n, last)
	case faded >= set.BoutSharePct:
		return say(Faded, faded, set.BoutSharePct, "share of bouts whose output falls late",
			"faded within %s: last quarter at %.0f %% of the bout's mean", v.pacedWords(metrics.Fade), meanQuarter(v, 4))
	case uneven >= set.BoutSharePct:
		return say(Uneven, uneven, set.BoutSharePct, "share of bouts that neither keep nor steadily change their output",
			"%s were not held evenly", v.pacedWords(metrics.Uneven))
	}
	return fault{}, false
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
