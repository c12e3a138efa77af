package metrics

import "math"

// cleanDistance, in place, makes samples missing that leave the count of
// distance, by falling or by a leap that top, the fastest that is believed in
// m/s, does not allow, and come back to it within maxSpikeS, and counts them.
// Times must not decrease.
//
// What leaves for longer has a reason. A count that falls has begun anew:
// devices that are switched off, lose their battery or write a part for each
// lap begin at nothing, those that save now and then at what they saved last.
// It goes on from where it was, at the pace of the sample before, for nobody
// stood still while it fell. A count that leaps caught up with a way that it
// had missed, under trees or in a tunnel say, and stays; devices take a second
// or several over it. Only when it lies further than the fastest could be since
// the recording began does it go on like one that fell. Common practice, no
// source.
func cleanDistance(timeMS []int64, col []float64, top float64) int {
	c := distanceCount{timeMS: timeMS, col: col, top: top, first: -1, last: -1, from: -1, oldLast: -1}
	for i, v := range col {
		if !math.IsNaN(v) {
			c.sample(i)
		}
	}
	if c.from >= 0 {
		c.settle()
	}
	return c.dropped
}

// distanceCount follows a count of distance from sample to sample.
type distanceCount struct {
	timeMS []int64
	col    []float64
	top    float64

	first, last int     // the samples believed first and last; −1 for none yet
	pace        float64 // m/s, of the last step that was believed
	from, to    int     // the samples since the count departed; from is −1 while it has not
	dropped     int

	// What the device counted as zero was the value base of the whole: 0 and 0
	// until the count begins anew.
	zero, base float64

	// The same of the count before that, and its last sample: a false count may
	// hold for a while, and then the true one is back.
	oldZero, oldBase float64
	oldLast          int
}

// value is a sample on the count of the whole recording.
func (c *distanceCount) value(i int) float64 { return c.base + (c.col[i] - c.zero) }

// seconds lie between two samples: at least one, as most formats tell whole
// seconds only.
func (c *distanceCount) seconds(a, b int) float64 {
	return max(1, float64(c.timeMS[b]-c.timeMS[a])/1000)
}

// reached tells whether a way from one value to another can be made between
// two samples.
func (c *distanceCount) reached(a, b int, from, to float64) bool {
	return to >= from && to-from <= c.top*c.seconds(a, b)
}

// sample takes the next valid sample.
func (c *distanceCount) sample(i int) {
	switch v := c.value(i); {
	case c.last < 0:
		c.believe(i)
	case c.last == c.first && v < c.col[c.last]:
		// Nothing but one sample speaks for the higher count.
		if c.from < 0 {
			c.to = c.last
		}
		c.from, c.last = c.last, -1
		c.drop()
		c.believe(i)
	case c.reached(c.last, i, c.col[c.last], v):
		c.back(v)
		c.believe(i)
	case c.returned(i):
		c.zero, c.base, c.oldLast = c.oldZero, c.oldBase, -1
		c.back(c.value(i))
		c.believe(i)
	case c.from < 0:
		c.from, c.to = i, i
	case c.col[i] < c.col[c.to]:
		c.drop()
		c.from, c.to = i, i
	default:
		if c.to = i; c.timeMS[i]-c.timeMS[c.from] > maxSpikeS*1000 {
			c.settle()
		}
	}
}

// returned tells whether a sample goes on from the count before it began anew.
func (c *distanceCount) returned(i int) bool {
	if c.oldLast < 0 {
		return false
	}
	v := c.oldBase + (c.col[i] - c.oldZero)
	return v >= c.col[c.last] && c.reached(c.oldLast, i, c.col[c.oldLast], v)
}

// back ends the departure before a sample of a value that the count may have.
// It was no departure if the count rose all along: a way caught up with in a
// few seconds.
func (c *distanceCount) back(v float64) {
	switch {
	case c.from < 0:
	case c.value(c.from) >= c.col[c.last] && c.value(c.to) <= v:
		c.keep()
	default:
		c.drop()
	}
}

// believe puts a sample on the count of the whole.
func (c *distanceCount) believe(i int) {
	v := c.value(i)
	if c.last < 0 {
		c.first = i
	} else if elapsed := c.timeMS[i] - c.timeMS[c.last]; elapsed > 0 {
		c.pace = 1000 * (v - c.col[c.last]) / float64(elapsed)
	}
	c.col[i], c.last = v, i
}

// drop makes the departure missing.
func (c *distanceCount) drop() {
	for k := c.from; k <= c.to; k++ {
		if !math.IsNaN(c.col[k]) {
			c.col[k] = math.NaN()
			c.dropped++
		}
	}
	c.from = -1
}

// settle ends a departure that lasts.
func (c *distanceCount) settle() {
	v := c.value(c.from)
	if v < c.col[c.last] || !c.reached(c.first, c.from, c.col[c.first], v) {
		c.beginAnew(c.from)
	}
	c.keep()
}

// keep believes the departure.
func (c *distanceCount) keep() {
	for k := c.from; k <= c.to; k++ {
		if !math.IsNaN(c.col[k]) {
			c.believe(k)
		}
	}
	c.from = -1
}

// beginAnew makes the count go on at a sample from where it was. Of a pause
// nothing is known, so that no way is added for it.
func (c *distanceCount) beginAnew(i int) {
	c.oldZero, c.oldBase, c.oldLast = c.zero, c.base, c.last
	c.zero, c.base = c.col[i], c.col[c.last]
	if elapsed := c.timeMS[i] - c.timeMS[c.last]; elapsed <= MaxBridge*1000 {
		c.base += min(c.pace, c.top) * float64(elapsed) / 1000
	}
}
