package coach

import (
	"cmp"
	"fmt"
	"slices"

	"boutwise/pipeline/calendar"
	"boutwise/pipeline/tables"
)

// The severities of findings.
const (
	Urgent = "urgent" // before the next session
	Soon   = "soon"   // this week
	Note   = "note"   // for the record
)

// The findings by their fixed names.
const (
	FastStart       = "fast_start"
	Faded           = "faded"
	Uneven          = "uneven"
	RecoveryShort   = "recovery_too_short"
	RecoveryHard    = "recovery_too_hard"
	TooFewIntervals = "too_few_interval_sessions"
	TooManyInterval = "too_many_interval_sessions"
	TooClose        = "intervals_too_close"
	BaseAboveBand   = "base_above_band"
	WeeklyJump      = "weekly_minutes_jump"
	SilentClient    = "silent_client"
	AboveMaxHR      = "heart_rate_above_maximum"
	LowHRRecovery   = "low_heart_rate_recovery"
	OutputDrop      = "output_drop"
	SensorTrouble   = "sensor_trouble"
	SparseRecording = "sparse_recording"
	ExertionHigh    = "exertion_above_data"
	ExertionLow     = "exertion_below_data"
	NoHRVerdict     = "heart_rate_not_judged"
	SharedExport    = "export_of_two_clients"
)

// noSource marks a method that is common practice.
const noSource = "common practice, no source"

// find notes a finding about one session. Value and limit may be NaN.
func (r *review) find(v *view, severity, name string, value, limit float64, method, format string, args ...any) {
	r.findOn(v.Session.LocalDate, severity, name, value, limit, method, format, args...)
	r.found[len(r.found)-1].SessionID = v.Session.SessionID
}

// findOn notes a finding about a day.
func (r *review) findOn(day calendar.Date, severity, name string, value, limit float64, method, format string, args ...any) {
	r.found = append(r.found, tables.Finding{
		ClientID: r.client.ID, Date: day, Severity: severity, Finding: name,
		Message: fmt.Sprintf(format, args...), Method: method,
		Value: tables.Num(value), Limit: tables.Num(limit),
	})
}

// sortedFindings lists the findings by day, session and name.
func (r *review) sortedFindings() []tables.Finding {
	slices.SortStableFunc(r.found, func(a, b tables.Finding) int {
		return cmp.Or(cmp.Compare(a.Date, b.Date), cmp.Compare(a.SessionID, b.SessionID), cmp.Compare(a.Finding, b.Finding))
	})
	return r.found
}

// open tells whether a finding still holds a step back, and gives the latest
// of those that do.
func (r *review) open(matches func(tables.Finding) bool) (latest tables.Finding, yes bool) {
	for _, f := range r.found {
		if r.asOf-f.Date < calendar.Date(r.set.Findings.OpenDays) && matches(f) && (!yes || f.Date >= latest.Date) {
			latest, yes = f, true
		}
	}
	return latest, yes
}

// Lasts tells a finding that stands however long ago its day is: what it says
// goes on until something changes.
func Lasts(f tables.Finding) bool { return f.Finding == SilentClient }

// has tells whether a session has a finding.
func (r *review) has(v *view, name string) bool {
	return slices.ContainsFunc(r.found, func(f tables.Finding) bool {
		return f.Finding == name && f.SessionID == v.Session.SessionID
	})
}

// lookAtSessions judges every session by itself.
func (r *review) lookAtSessions() {
	for i := range r.sessions {
		v := r.sessions[i]
		r.lookAtSource(v)
		r.lookAtSensor(v)
		r.lookAtRecording(v)
		r.lookAtPacing(v)
		r.lookAtRecovery(v)
		r.lookAtHeart(v)
		r.lookAtExertion(v)
		r.lookAtOutput(i)
	}
}
