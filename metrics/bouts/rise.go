package bouts

// longestRise bounds a rise in seconds.
const longestRise = 20

// rise is the form of a passage from one level to another.
type rise struct {
	length float64 // s
	staged bool    // in two stages with a rest half-way

	// shares[h] is how much of it is done in the seconds from the first one
	// it touches on, when its centre lies on a whole (h = 0) or a half second
	// (h = 1); starts[h] is that first second, from the centre's own.
	shares [2][]float64
	starts [2]int
}

// riseForms is how many forms are tried.
const riseForms = 13

// rises are the forms tried: straight ramps, and rises in two stages, as when
// a client spins up before the load comes on. The shortest come first.
var rises = newRises([riseForms]rise{
	{length: 0}, {length: 1}, {length: 2}, {length: 3}, {length: 4}, {length: 6},
	{length: 7, staged: true}, {length: 8}, {length: 11}, {length: 11, staged: true},
	{length: 15}, {length: 16, staged: true}, {length: longestRise},
})

// risesUpTo is how many of the forms are not longer than the longest. The first,
// which takes no time, has room everywhere.
func risesUpTo(longest float64) int {
	n := 1
	for n < riseForms && rises[n].length <= longest {
		n++
	}
	return n
}

// newRises tables the shares of the forms.
func newRises(forms [riseForms]rise) [riseForms]rise {
	for k := range forms {
		r := &forms[k]
		for h := range r.shares {
			centre := float64(h) / 2
			first := int(centre-r.length/2+longestRise) - longestRise
			r.starts[h] = first
			for i := first; float64(i) < centre+r.length/2+1; i++ {
				r.shares[h] = append(r.shares[h], r.share(float64(i)-centre))
			}
		}
	}
	return forms
}

// seconds is how many shares all forms have together.
func seconds(forms [riseForms]rise) int {
	n := 0
	for _, r := range forms {
		n += len(r.shares[0]) + len(r.shares[1])
	}
	return n
}

// share is the mean share of a rise that is done in second [x, x+1) from its
// centre.
func (r rise) share(x float64) float64 {
	if r.staged {
		// Half of it at either end.
		return (within(x+1+r.length/2) + within(x+1-r.length/2)) / 2
	}
	return cleared(x+1, r.length) - cleared(x, r.length)
}

// within bounds a share to 0 and 1.
func within(x float64) float64 { return max(0, min(1, x)) }

// cleared is the integral up to x of a ramp from 0 to 1 over length seconds
// centred on 0.
func cleared(x, length float64) float64 {
	half := length / 2
	switch {
	case x <= -half:
		return 0
	case x >= half:
		return x
	}
	u := x + half
	return u * u / (2 * length)
}
