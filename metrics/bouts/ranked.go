package bouts

// ranked is the value that would stand at a place, from 0, if a sample that is
// not empty were sorted; the sample is left in another order. It takes a fraction
// of the time that sorting does (Hoare 1961, Commun ACM 4:321).
func ranked(x []float64, place int) float64 {
	lo, hi := 0, len(x)-1
	for lo < hi {
		pivot := x[lo+(hi-lo)/2]
		i, k := lo, hi
		for i <= k {
			for x[i] < pivot {
				i++
			}
			for x[k] > pivot {
				k--
			}
			if i <= k {
				x[i], x[k] = x[k], x[i]
				i++
				k--
			}
		}
		switch {
		case place <= k:
			hi = k
		case place >= i:
			lo = i
		default:
			return x[place]
		}
	}
	return x[place]
}

// medianOf is the median of a sample, which is left in another order; the lower
// of two middle values.
func medianOf(x []float64) float64 { return ranked(x, (len(x)-1)/2) }
