package practice

import (
	"cmp"
	"fmt"
	"slices"
)

const bandsFile = "bands.csv"

var bandColumns = []string{"client_id", "effective_from", "signal", "band", "lower", "unit"}

// bandUnits lists the units, the signal that each fits, and the highest lower
// edge that can be meant.
var bandUnits = []struct {
	unit   string
	signal BandSignal
	high   float64
}{
	{"bpm", BandHeartRate, 230},
	{"pct_max_hr", BandHeartRate, 110},
	{"pct_hr_reserve", BandHeartRate, 110},
	{"pct_threshold_hr", BandHeartRate, 150},
	{"w", BandPower, 2500},
	{"pct_threshold_power", BandPower, 400},
	{"m_s", BandSpeed, 12.5},
}

// bandSignals lists the words that the column signal may hold.
var bandSignals = []string{string(BandHeartRate), string(BandPower), string(BandSpeed)}

// bandUnitNames lists the words that the column unit may hold.
func bandUnitNames() []string {
	names := make([]string, len(bandUnits))
	for i, u := range bandUnits {
		names[i] = u.unit
	}
	return names
}

// placedBand is a band with its place.
type placedBand struct {
	Band
	line int
}

// readBands reads bands.csv, in the order client, signal, date, lower edge.
func (l *loader) readBands() {
	s := l.readSheet(bandsFile, bandColumns, bandColumns)
	var all []placedBand
	for _, r := range s.rows {
		c := cellReader{loader: l, file: s.file, row: r}
		b := placedBand{line: r.line}
		if b.Client = everyClient; r.cells["client_id"] != everyClient {
			b.Client = c.knownClient()
		}
		b.EffectiveFrom, _ = c.date("effective_from")
		b.Signal = BandSignal(c.choice("signal", bandSignals))
		b.Name = c.text("band")
		b.Unit = c.choice("unit", bandUnitNames())
		c.lowerEdge(&b.Band)
		if !c.bad {
			all = append(all, b)
		}
	}
	// Stable: within a set the order of the file stays, to be checked.
	slices.SortStableFunc(all, func(a, b placedBand) int {
		return cmp.Or(cmp.Compare(a.Client, b.Client), cmp.Compare(a.Signal, b.Signal), cmp.Compare(a.EffectiveFrom, b.EffectiveFrom))
	})
	for len(all) > 0 {
		n := 1
		for n < len(all) && sameSet(all[0].Band, all[n].Band) {
			n++
		}
		l.checkSet(all[:n])
		for _, b := range all[:n] {
			l.p.Bands = append(l.p.Bands, b.Band)
		}
		all = all[n:]
	}
}

// sameSet tells whether two bands belong to one dated set.
func sameSet(a, b Band) bool {
	return a.Client == b.Client && a.Signal == b.Signal && a.EffectiveFrom == b.EffectiveFrom
}

// lowerEdge reads the edge and checks it and the signal against the unit.
func (c *cellReader) lowerEdge(b *Band) {
	for _, u := range bandUnits {
		if u.unit != b.Unit {
			continue
		}
		b.Lower = c.number("lower", 0, u.high, u.unit)
		if slices.Contains(bandSignals, string(b.Signal)) && u.signal != b.Signal {
			c.fail("unit", fmt.Sprintf("%s is a unit of %s, not of %s", u.unit, u.signal, b.Signal), "give the unit that fits the signal")
		}
	}
}

// checkSet reports what is wrong with the bands of one dated set: edges that
// coincide or descend, names that repeat, units that differ, and percentages
// that were written as fractions.
func (l *loader) checkSet(set []placedBand) {
	fail := func(b placedBand, column, what, remedy string) {
		l.report(Problem{bandsFile, b.line, column, what, remedy})
	}
	for i, b := range set[1:] {
		before := set[i]
		switch {
		case b.Unit != before.Unit:
			fail(b, "unit", fmt.Sprintf("%s, but row %d of the same set has %s", b.Unit, before.line, before.Unit), "keep to one unit in a set")
		case b.Lower == before.Lower:
			fail(b, "lower", fmt.Sprintf("%s and %s (row %d) overlap: both start at %s", b.Name, before.Name, before.line, brief(b.Lower)),
				"give every band of a set a lower edge of its own")
		case b.Lower < before.Lower:
			fail(b, "lower", fmt.Sprintf("%s starts at %s, below %s at %s in row %d", b.Name, brief(b.Lower), before.Name, brief(before.Lower), before.line),
				"list the bands of a set from the lowest to the highest")
		}
		for _, earlier := range set[:i+1] {
			if earlier.Name == b.Name {
				fail(b, "band", fmt.Sprintf("%s already stands in row %d of the same set", b.Name, earlier.line), "give every band of a set a name of its own")
				break
			}
		}
	}
	// No percentage band of use starts and ends below 2 %.
	top := set[len(set)-1]
	if len(set) > 1 && len(top.Unit) > 4 && top.Unit[:4] == "pct_" && top.Lower > 0 && top.Lower < 2 {
		fail(top, "lower", fmt.Sprintf("the highest band starts at %s percent", brief(top.Lower)), "write 60 for 60 %, not 0.6")
	}
}
