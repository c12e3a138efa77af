package practice

import (
	"cmp"
	"fmt"
	"slices"
	"sort"
)

const measurementsFile = "measurements.csv"

var measurementColumns = []string{"client_id", "date", "quantity", "value"}

// possible bounds what a quantity can be in an adult. The bounds are wide on
// purpose: they catch a slip of the finger or of the unit, not an unusual
// client. From memory of population extremes; heart rate above 230 and VO2max
// outside 5 to 95 lie beyond the published means by more than three standard
// deviations (Loe et al. 2013).
var possible = []struct {
	quantity  Quantity
	low, high float64
	unit      string
}{
	{BodyMass, 25, 350, "kg"},
	{RestingHR, 25, 130, "bpm"},
	{MaxHR, 80, 230, "bpm"},
	{ThresholdHR, 60, 220, "bpm"},
	{ThresholdPower, 10, 700, "W"},
	{CriticalPower, 10, 700, "W"},
	{VO2Max, 5, 95, "mL/kg/min"},
}

// quantityNames lists the words that the column quantity may hold.
func quantityNames() []string {
	names := make([]string, len(possible))
	for i, q := range possible {
		names[i] = string(q.quantity)
	}
	return names
}

// measured is a measurement with its place, kept until all checks are done.
type measured struct {
	Measurement
	line int
}

// readMeasurements reads measurements.csv, in the order client, quantity,
// date.
func (l *loader) readMeasurements() {
	s := l.readSheet(measurementsFile, measurementColumns, measurementColumns)
	var all []measured
	for _, r := range s.rows {
		c := cellReader{loader: l, file: s.file, row: r}
		m := measured{line: r.line}
		m.Client = c.knownClient()
		m.Date, _ = c.date("date")
		m.Quantity = Quantity(c.choice("quantity", quantityNames()))
		for _, q := range possible {
			if q.quantity == m.Quantity {
				m.Value = c.number("value", q.low, q.high, q.unit)
			}
		}
		if !c.bad {
			all = append(all, m)
		}
	}
	slices.SortStableFunc(all, func(a, b measured) int {
		return cmp.Or(cmp.Compare(a.Client, b.Client), cmp.Compare(a.Quantity, b.Quantity), cmp.Compare(a.Date, b.Date))
	})
	all = l.withoutRepeats(all)
	l.checkHeartRates(all)
	for _, m := range all {
		l.p.Measurements = append(l.p.Measurements, m.Measurement)
	}
}

// withoutRepeats drops a measurement that stands twice, and reports two that
// contradict each other. The measurements are in the order client, quantity,
// date.
func (l *loader) withoutRepeats(all []measured) []measured {
	var kept []measured
	for _, m := range all {
		if len(kept) == 0 {
			kept = append(kept, m)
			continue
		}
		first := kept[len(kept)-1]
		switch same := m.Client == first.Client && m.Quantity == first.Quantity && m.Date == first.Date; {
		case !same:
			kept = append(kept, m)
		case m.Value != first.Value:
			l.report(Problem{measurementsFile, m.line, "value",
				fmt.Sprintf("%s of %s on %s is %s here but %s in row %d", m.Quantity, m.Client, m.Date, brief(m.Value), brief(first.Value), first.line),
				"delete the wrong one"})
		}
	}
	return kept
}

// ascending pairs quantities whose second must lie above the first whenever
// both are in force.
var ascending = [][2]Quantity{{RestingHR, MaxHR}, {RestingHR, ThresholdHR}, {ThresholdHR, MaxHR}}

// checkHeartRates reports a maximal or threshold rate that does not lie above
// the rates below it which are in force on the same day. The measurements are
// in the order client, quantity, date.
func (l *loader) checkHeartRates(all []measured) {
	for len(all) > 0 {
		n := 1
		for n < len(all) && all[n].Client == all[0].Client {
			n++
		}
		byQuantity := map[Quantity][]measured{}
		for _, m := range all[:n] {
			byQuantity[m.Quantity] = append(byQuantity[m.Quantity], m)
		}
		for _, pair := range ascending {
			l.checkAscending(byQuantity[pair[0]], byQuantity[pair[1]])
		}
		all = all[n:]
	}
}

// checkAscending reports every pair of values that are in force together and
// of which the upper is not above the lower, once a pair.
func (l *loader) checkAscending(lower, upper []measured) {
	if len(lower) == 0 || len(upper) == 0 {
		return
	}
	reported := map[[2]int]bool{}
	for _, day := range slices.Concat(lower, upper) { // whatever changes, changes on one of these days
		low, up := inForce(lower, day.Date), inForce(upper, day.Date)
		pair := [2]int{low.line, up.line}
		if low.Value < up.Value || reported[pair] {
			continue
		}
		reported[pair] = true
		l.report(Problem{measurementsFile, up.line, "value",
			fmt.Sprintf("%s %s of %s is not above %s %s (row %d), both in force on %s",
				up.Quantity, brief(up.Value), up.Client, low.Quantity, brief(low.Value), low.line, day.Date),
			"correct the wrong one"})
	}
}

// inForce is the measurement in force on a day: the latest on or before it,
// before the first one the first one. The measurements are by date, at least
// one.
func inForce(ms []measured, day Date) measured {
	after := sort.Search(len(ms), func(i int) bool { return ms[i].Date > day })
	return ms[max(0, after-1)]
}
