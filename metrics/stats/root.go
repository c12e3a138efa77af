package stats

import "math"

// FallingRoot finds where f falls through zero between from and to, to within
// the share tol of its place: by false position with the retained value halved
// (the Illinois method; Dowell M, Jarratt P, BIT 1971;11:168–174, from memory),
// and by halving where that is slow. Where f does not fall through zero the
// result lies at the end towards which it would, as far as signs tell.
func FallingRoot(from, to, tol float64, f func(float64) float64) float64 {
	left, right := f(from), f(to)
	side := 0 // which end moved last: -1 the left one, 1 the right one
	for step := 0; to-from > tol*math.Abs(to); step++ {
		x := (from*right - to*left) / (right - left)
		if step%4 == 3 || !(x > from && x < to) {
			x = from + (to-from)/2
		}
		if x <= from || x >= to {
			break // neighbours: no number lies between
		}
		switch y := f(x); {
		case y > 0:
			if from, left = x, y; side < 0 {
				right /= 2
			}
			side = -1
		case y < 0:
			if to, right = x, y; side > 0 {
				left /= 2
			}
			side = 1
		default:
			return x
		}
	}
	return from + (to-from)/2
}
