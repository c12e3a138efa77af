// Package coach judges a client's sessions together, as the coach would each
// morning: weeks against prescriptions, progress, capacity, findings. It is
// pure: rows in, rows out; the day is given.
package coach

import (
	"boutwise/metrics"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/tables"
)

// SessionView is one measured session and the facts of its day.
type SessionView struct {
	Session   tables.Session
	Bouts     []tables.Bout
	BandTimes []tables.BandTime
	Facts     practice.Facts
	HeartRate metrics.Counts // seconds at each heart rate
}

// Result is what a review of one client gives.
type Result struct {
	Weeks      []tables.Week
	Progress   []tables.Progress
	Capacities []tables.Capacity
	Findings   []tables.Finding
}

// Review judges one client's sessions, in order of their start, as of a day.
func Review(p *practice.Practice, client string, sessions []SessionView, asOf calendar.Date) Result {
	return Result{
		Weeks: weeks(p, client, sessions, asOf),
	}
}
