package metrics

import (
	"cmp"
	"math"
	"slices"
)

// minStretchS is the shortest stretch, in seconds, that one device adds where
// the other was not recording. The clocks of two devices that share no
// quantity cannot be compared, and formats of one recording differ by a sample
// at their ends: less than this may be no more than that.
const minStretchS = 60

// MergeTraces gives one trace of one workout that two devices recorded, on a's
// clock, from the first second of either to the last; lag is how many seconds
// b's clock is ahead.
//
// Each channel is that of the device that measured it for longer, nothing but
// zeros not counted; a when even.
// Where that device was not recording, before it began, after it ended or
// while it paused, the other's values stand, for a minute at least. Within
// what a device recorded its sensor is never mixed with another's: their
// constant errors differ, and a step between them would pass for one of the
// client's. Altitude is brought to one level first; distance continues where
// the other ended and is not filled in within a pause.
//
// fromA and fromB name the channels of which a and b gave anything. Traces
// that share no second are not merged: a is returned. Neither input is
// modified.
func MergeTraces(a, b *Trace, lag int) (merged Trace, fromA, fromB []string) {
	m, shared := newMerger(a, b, lag)
	if !shared {
		return *a, measuredChannels(a), nil
	}
	merged = Trace{StartUnix: a.StartUnix + int64(m.from), N: m.n}
	chosen := map[string]choice{}
	for _, spec := range ChannelSpecs {
		c := m.choose(spec)
		if c.values == nil {
			continue
		}
		*spec.Column(&merged.Channels) = c.values
		chosen[spec.Name] = c
		if c.fromA {
			fromA = append(fromA, spec.Name)
		}
		if c.fromB {
			fromB = append(fromB, spec.Name)
		}
	}
	merged.Recorded, merged.Observed = m.masks(chosen[outputChannel(&merged)])
	return merged, fromA, fromB
}

// measuredChannels names the channels with any value.
func measuredChannels(t *Trace) (names []string) {
	for _, spec := range ChannelSpecs {
		if countValid(*spec.Column(&t.Channels)) > 0 {
			names = append(names, spec.Name)
		}
	}
	return names
}

// outputChannel names the channel that bouts are most likely found in.
func outputChannel(t *Trace) string {
	switch {
	case countValid(t.Power) > 0:
		return "power"
	case countValid(t.Speed) > 0:
		return "speed"
	}
	return "heart_rate"
}

// placed is a trace on the seconds of the merged one.
type placed struct {
	*Trace
	at int // the merged second of its first
}

// covers tells whether second i lies between the trace's first and last.
func (p placed) covers(i int) bool { return i >= p.at && i < p.at+p.N }

// records tells whether the device was recording in second i.
func (p placed) records(i int) bool { return p.covers(i) && p.Recorded[i-p.at] }

// column lays a column out over n seconds.
func (p placed) column(col []float64, n int) []float64 {
	if col == nil {
		return nil
	}
	out := make([]float64, n)
	for i := range out {
		out[i] = math.NaN()
		if p.covers(i) {
			out[i] = col[i-p.at]
		}
	}
	return out
}

// merger joins two traces second by second.
type merger struct {
	a, b placed
	from int // the merged trace's first second on a's grid
	n    int
}

// newMerger finds the seconds of the merged trace: a's, and b's beyond them
// where there are enough. shared is false when the two have none in common.
func newMerger(a, b *Trace, lag int) (m merger, shared bool) {
	// Years may lie between two clocks: the shift is not yet an int.
	shift := b.StartUnix - a.StartUnix - int64(lag)
	if shift >= int64(a.N) || shift <= -int64(b.N) {
		return m, false
	}
	at := int(shift)
	to := a.N
	if -at >= minStretchS {
		m.from = at
	}
	if at+b.N-a.N >= minStretchS {
		to = at + b.N
	}
	m.n = to - m.from
	m.a, m.b = placed{a, -m.from}, placed{b, at - m.from}
	return m, true
}

// choice is one channel of the merged trace.
type choice struct {
	values       []float64
	first, other placed // the device that measured it, and the one that fills in
	filled       []bool // seconds that the other gave; nil for none
	fromA, fromB bool
}

// choose takes a channel from the device that measured it for longer and
// fills in from the other.
func (m merger) choose(spec ChannelSpec) choice {
	va := m.a.column(*spec.Column(&m.a.Channels), m.n)
	vb := m.b.column(*spec.Column(&m.b.Channels), m.n)
	c, fill := choice{values: va, first: m.a, other: m.b}, vb
	ofB := measuredLonger(vb, va)
	if ofB {
		c, fill = choice{values: vb, first: m.b, other: m.a}, va
	}
	gaveFirst := countValid(c.values) > 0
	if gaveFirst && fill != nil {
		switch spec.Name {
		case "altitude":
			fill = level(fill, c.values)
		case "distance":
			fill = continued(fill, c.values)
		}
	}
	c.fill(fill)
	gaveOther := c.filled != nil
	if gaveOther && spec.Name == "distance" {
		fromZero(c.values)
	}
	if gaveOther {
		quantise(c.values, spec.PerUnit)
	}
	c.fromA, c.fromB = gaveFirst, gaveOther
	if ofB {
		c.fromA, c.fromB = gaveOther, gaveFirst
	}
	return c
}

// measuredLonger tells whether a column holds more valid seconds than another.
// One with nothing but zeros, the speed of a watch beside a stationary bicycle,
// only counts against one with nothing at all.
func measuredLonger(col, than []float64) bool {
	evidence := func(col []float64) int {
		if slices.ContainsFunc(col, func(v float64) bool { return v < 0 || v > 0 }) {
			return countValid(col)
		}
		return 0
	}
	return cmp.Or(cmp.Compare(evidence(col), evidence(than)), cmp.Compare(countValid(col), countValid(than))) > 0
}

// fill puts the other device's values into every stretch of at least
// minStretchS seconds in which the first was not recording.
func (c *choice) fill(values []float64) {
	if countValid(values) == 0 {
		return
	}
	for i := 0; i < len(values); i++ {
		j := i
		for j < len(values) && !c.first.records(j) {
			j++
		}
		if j-i >= minStretchS {
			c.take(values, i, j)
		}
		i = max(i, j)
	}
}

// take copies the valid seconds of [from, to).
func (c *choice) take(values []float64, from, to int) {
	for i := from; i < to; i++ {
		if math.IsNaN(values[i]) || !math.IsNaN(c.values[i]) {
			continue
		}
		if c.filled == nil {
			c.filled = make([]bool, len(values))
		}
		c.values[i], c.filled[i] = values[i], true
	}
}

// level brings col to the level of to by a constant: the mean difference
// where both are valid, nothing where they never are.
func level(col, to []float64) []float64 {
	sum, n := 0.0, 0
	for i, v := range col {
		if d := to[i] - v; !math.IsNaN(d) {
			sum += d
			n++
		}
	}
	if n == 0 {
		return col
	}
	return shifted(col, sum/float64(n))
}

// continued makes of a distance what comes before and after another: up to the
// first valid second of to it ends where that begins, and from the last it
// goes on. In between it is missing: two devices' distances cannot be added up.
func continued(col, to []float64) []float64 {
	first, last := -1, -1
	for i, v := range to {
		if math.IsNaN(v) {
			continue
		}
		if first < 0 {
			first = i
		}
		last = i
	}
	out := make([]float64, len(col))
	for i := range out {
		out[i] = math.NaN()
	}
	if first < 0 {
		return out
	}
	copy(out[:first], shifted(col[:first], to[first]-nearest(col, first)))
	copy(out[last+1:], shifted(col[last+1:], to[last]-nearest(col, last)))
	return out
}

// nearest is the valid value nearest to second i; NaN when there is none.
func nearest(col []float64, i int) float64 {
	for d := range col {
		if k := i - d; k >= 0 && !math.IsNaN(col[k]) {
			return col[k]
		}
		if k := i + d; k < len(col) && !math.IsNaN(col[k]) {
			return col[k]
		}
	}
	return math.NaN()
}

func shifted(col []float64, by float64) []float64 {
	out := make([]float64, len(col))
	for i, v := range col {
		out[i] = v + by
	}
	return out
}

// fromZero makes a distance begin at 0 again after something came before it.
func fromZero(col []float64) {
	start := math.NaN()
	for i, v := range col {
		if math.IsNaN(start) {
			start = v
		}
		col[i] = v - start
	}
}

// masks gives the seconds that were recorded and those with a sample of their
// own: as the device has them that gave the output, for a pause is a pause
// though another device ran on, and a boundary finder must undo that device's
// straight lines. Where it gave nothing, the other's hold.
func (m merger) masks(output choice) (recorded, observed []bool) {
	recorded, observed = make([]bool, m.n), make([]bool, m.n)
	if output.values == nil {
		output.first, output.other = m.a, m.b
	}
	for i := range recorded {
		of := output.first
		if !of.covers(i) || output.filled != nil && output.filled[i] {
			of = output.other
		}
		if of.covers(i) {
			recorded[i], observed[i] = of.Recorded[i-of.at], of.Observed[i-of.at]
		}
	}
	return recorded, observed
}
