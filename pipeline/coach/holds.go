package coach

import (
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/tables"
)

// withoutPrescription: a step has to be taken from somewhere.
func (r *review) withoutPrescription(s standing) *suggestion {
	if s.base.PerWeek > 0 || s.hard.PerWeek > 0 {
		return nil
	}
	return because(Hold, "Nothing is prescribed, so no step can be judged.")
}

// afterSilence: a client who is away is asked first.
func (r *review) afterSilence(s standing) *suggestion {
	last, silent := r.silentSince()
	if !silent {
		return nil
	}
	return because(Hold, "No session since %s: make contact before anything is changed.", last)
}

// withUrgentFinding: while an urgent finding is open, nothing else matters.
func (r *review) withUrgentFinding(standing) *suggestion {
	f, open := r.open(func(f tables.Finding) bool { return f.Severity == Urgent })
	if !open {
		return nil
	}
	return because(Hold, "An urgent finding is open since %s: %s The clinician decides what comes next.", f.Date, ended(f.Message)).asking()
}

// withOpenFinding: no step while the data or the client say that something is
// wrong with them. A maximum that was exceeded is such a thing, for whether
// work was easy is told by it.
func (r *review) withOpenFinding(standing) *suggestion {
	f, open := r.open(func(f tables.Finding) bool {
		switch f.Finding {
		case LowHRRecovery, OutputDrop, ExertionHigh, SharedExport, AboveMaxHR:
			return true
		}
		return false
	})
	if !open {
		return nil
	}
	hold := because(Hold, "A finding is open since %s: %s No step until it is explained.", f.Date, ended(f.Message))
	switch f.Finding {
	case LowHRRecovery, OutputDrop, ExertionHigh:
		return hold.asking()
	}
	return hold
}

// afterMissedWeek: the work stays as it is until a week is kept again.
func (r *review) afterMissedWeek(s standing) *suggestion {
	if s.missedWeeks == 0 {
		return nil
	}
	return because(Hold, "The last week was not kept (below %.0f %% of the sessions prescribed): no step until one is.", r.set.Progress.WeekKeptPct)
}

// besideAChange: one step at a time. One that is written down already counts
// as well as one that was taken.
func (r *review) besideAChange(s standing) *suggestion {
	due := r.need(s, r.set.Progress.DaysBetweenSteps)
	switch {
	case s.nextChange > 0 && s.nextChange < r.asOf+calendar.Date(due):
		return because(Hold, "The prescription changes on %s already: one step at a time.", s.nextChange)
	case s.sinceChange >= 0 && s.sinceChange < due:
		return because(Hold, "The prescription changed %s ago, %d are due: one step at a time.", count(s.sinceChange-1, "day"), due)
	}
	return nil
}

// withTooMuch: who does more or harder work than was asked for, or leaves too
// little time between, is not asked for more.
func (r *review) withTooMuch(standing) *suggestion {
	f, open := r.open(func(f tables.Finding) bool {
		switch f.Finding {
		case BaseAboveBand, TooClose, TooManyInterval, WeeklyJump:
			return true
		}
		return false
	})
	if !open {
		return nil
	}
	why := "More was done than asked"
	switch f.Finding {
	case BaseAboveBand:
		return because(Hold, "Base work is not easy yet: on %s, %s", f.Date, ended(f.Message))
	case TooClose:
		why = "Interval sessions lay too close together"
	case WeeklyJump:
		why = "Much more was done than in the weeks before"
	}
	return because(Hold, "%s: on %s, %s No step until that has settled.", why, f.Date, ended(f.Message))
}
