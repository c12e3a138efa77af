package bouts

// What may lie next to a candidate and still belong to the bout: a step of at
// most longestRamp seconds, or of rampShare of the candidate if that is more;
// beyond a short dip only the latter.
const (
	longestRamp = 20
	rampShare   = 0.15
)

// settled returns the blocks of a candidate without what is rest at its ends,
// given the level of the rests, and with what belongs to it on either side: the
// likeness of durations is too lenient to mind either.
func (fd *finder) settled(c *candidate, low float64) (a, b int) {
	return fd.settle(c, c.a, -1, low), fd.settle(c, c.b, +1, low)
}

// settle moves one boundary of a candidate: the start when way is -1, the end
// when it is +1.
func (fd *finder) settle(c *candidate, edge, way int, low float64) int {
	if inner := fd.trimmed(c, edge, way, low); inner != edge {
		return inner
	}
	// A slow rise makes a step of its own, and noise may cut the last half
	// minute off.
	if k, ok := fd.beside(edge, way); ok {
		limit := max(longestRamp, rampShare*c.seconds)
		if outer := fd.outer(k, way); fd.seconds(k) <= limit && fd.belongs(c, k, way) && fd.untaken(edge, outer) {
			edge = outer
		}
	}
	// One may stop pedalling for some seconds soon after the start.
	dip, ok := fd.beside(edge, way)
	if !ok || fd.seconds(dip) > fd.settings.Dip {
		return edge
	}
	reach, work := fd.outer(dip, way), 0.0
	for k := dip + way; k >= 0 && k < len(fd.steps) && fd.belongs(c, k, way); k += way {
		if work += fd.seconds(k); work > rampShare*c.seconds {
			return edge
		}
		reach = fd.outer(k, way)
	}
	if work >= fd.seconds(dip) && fd.untaken(edge, reach) {
		return reach
	}
	return edge
}

// trimmed takes the steps at one end of a candidate off that lie nearer to the
// level of the rests than to its own, as long as they are short together.
func (fd *finder) trimmed(c *candidate, edge, way int, low float64) int {
	cut := 0.0
	for {
		k, ok := fd.beside(edge, -way)
		if !ok || fd.steps[k].mean >= (c.level+low)/2 {
			return edge
		}
		if cut += fd.seconds(k); cut > rampShare*c.seconds {
			return edge
		}
		edge = fd.outer(k, -way)
	}
}

// belongs tells whether a step lies above half-way from what is beyond it to a
// candidate's level.
func (fd *finder) belongs(c *candidate, k, way int) bool {
	flank := int(c.seconds/4) / fd.size
	at := fd.outer(k, way)
	beyond := fd.flank(min(at, at+way*flank), max(at, at+way*flank))
	mean := fd.steps[k].mean
	return mean > (c.level+beyond)/2 && beyond < mean
}

// beside is the step next to a boundary, on its outer side.
func (fd *finder) beside(edge, way int) (k int, ok bool) {
	if way < 0 {
		edge--
	}
	if edge < 0 || edge >= fd.blocks.n {
		return 0, false
	}
	return fd.stepOf[edge], true
}

// outer is the far boundary of a step.
func (fd *finder) outer(k, way int) int {
	if way < 0 {
		return fd.steps[k].a
	}
	return fd.steps[k].b
}

// seconds is the length of a step.
func (fd *finder) seconds(k int) float64 {
	return float64((fd.steps[k].b - fd.steps[k].a) * fd.size)
}

// untaken tells whether no bout found so far lies between two blocks.
func (fd *finder) untaken(i, k int) bool { return fd.taken[max(i, k)] == fd.taken[min(i, k)] }
