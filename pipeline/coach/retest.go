package coach

import (
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/practice"
)

// forRetest: an old test is renewed before the work gets harder still.
func (r *review) forRetest(s standing) *suggestion {
	set := r.set.Progress
	last, how := r.lastTest()
	days := int(r.asOf - last)
	if s.stage != practice.Intervals || how == "" || days < 7*set.RetestWeeks {
		return nil
	}
	return because(RetestCapacity, "Capacity was last tested on %s (%s), %s ago; from %s on a new test shows what has changed.",
		last, how, count(days/7, "week"), count(set.RetestWeeks, "week"))
}

// lastTest is the day of the latest test of capacity: a measurement, or the
// maximal bouts that a critical power can be fitted to. "" when there was
// none.
func (r *review) lastTest() (day calendar.Date, how string) {
	for _, quantity := range []practice.Quantity{practice.CriticalPower, practice.VO2Max} {
		if on, measured := r.practice.LastMeasured(r.client.ID, quantity, r.asOf); measured && (how == "" || on > day) {
			day, how = on, string(quantity)
		}
	}
	efforts, _ := r.maximalBouts(0)
	// A single bout near the maximum is a hard day; a test has several, of
	// lengths that differ.
	if len(best(efforts)) < r.set.Capacity.MinEfforts {
		return day, how
	}
	for _, e := range efforts {
		if how == "" || e.day > day {
			day, how = e.day, "maximal bouts"
		}
	}
	return day, how
}
