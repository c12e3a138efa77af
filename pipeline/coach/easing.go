package coach

import (
	"fmt"
	"strings"

	"boutwise/metrics"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/tables"
)

// afterEmptyTank: the first interval sessions are expected to be submaximal. A
// client who empties the tank in them, be it in one that was broken off, is
// told to do less.
func (r *review) afterEmptyTank(s standing) *suggestion {
	if s.stage != practice.Intervals {
		return nil
	}
	tried := r.tries(s.hard, 0)
	if len(tried) == 0 {
		return nil
	}
	last, n := tried[0], s.interval
	if last.kind() != metrics.Intervals {
		n++ // broken off, it is not counted yet
	}
	first, evidence := r.submaximal(s), r.emptied(last)
	if n > first || len(evidence) == 0 {
		return nil
	}
	return because(EaseBack, "Interval session %d emptied the tank on %s: %s. %s to stay submaximal. "+
		"Ask for less: an easier first minute, a lower output, or fewer rounds.",
		n, last.Session.LocalDate, strings.Join(evidence, "; "), capital(firstSessions(first)))
}

// submaximal is how many first interval sessions are to stay submaximal.
func (r *review) submaximal(s standing) int { return r.need(s, r.set.Progress.SubmaximalSessions) }

// emptied lists the signs that a session took all that the client had.
func (r *review) emptied(v *view) []string {
	set := r.set.Progress
	var signs []string
	if rated := tables.Value(v.Session.RatedExertion); rated >= set.EmptyTankExertion {
		signs = append(signs, fmt.Sprintf("rated %.0f of 10", rated))
	}
	if near := r.nearMaxS(v); near >= set.EmptyTankNearMaxS {
		signs = append(signs, fmt.Sprintf("%.0f s near maximal heart rate", near))
	}
	if last := v.lastToFirst(); last <= set.EmptyTankLastPct {
		signs = append(signs, fmt.Sprintf("last bout at %.0f %% of the first", last))
	}
	return signs
}

// afterTimeAway: after weeks away a client does not start where they left off.
func (r *review) afterTimeAway(s standing) *suggestion {
	if s.missedWeeks < r.set.Progress.EaseBackWeeks {
		return nil
	}
	return because(EaseBack, "%s in a row not kept (below %.0f %% of the sessions prescribed): agree on less, and build up again from there.",
		count(s.missedWeeks, "week"), r.set.Progress.WeekKeptPct)
}

// afterUnfinished: two interval sessions running that were broken off or faded,
// and bouts get shorter.
func (r *review) afterUnfinished(s standing) *suggestion {
	if s.stage != practice.Intervals {
		return nil
	}
	sessions := r.tries(s.hard, r.stepSince(s.hard))
	if len(sessions) < 2 {
		return nil
	}
	for _, v := range sessions[:2] {
		if len(v.confirmed) >= s.hard.Rounds && !r.has(v, Faded) {
			return nil
		}
	}
	return because(ShorterBouts, "The last two interval sessions, on %s and %s, were not finished or faded: shorter bouts that can be held teach more.",
		sessions[1].Session.LocalDate, sessions[0].Session.LocalDate)
}
