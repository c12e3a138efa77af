package metrics

import "math"

// GradeWindow is the distance in metres over which [GradeFromAltitude] takes
// the slope by default. A barometric altitude moves in steps of 0.2 m, which
// over 60 m is a third of a percent of grade; hills that a client works
// against are longer.
const GradeWindow = 60

// gradePointStep is the least distance in metres between two points that a
// slope is taken from. A client who stands still adds no points.
const gradePointStep = 1

// GradeFromAltitude is the grade of each second in percent for devices that
// measure altitude but no grade: the least-squares slope of altitude over
// distance within half the window, in metres, to either side. The columns,
// distance covered and altitude in metres, have one length. Grades beyond
// ±45 % count as ±45 %.
//
// Seconds at a standstill have the grade of the place. A second is NaN when
// it lacks distance or altitude, and when the points around it span less than
// half the window: too little to tell a slope from the altimeter's steps. A
// nil column gives nil.
func GradeFromAltitude(distance, altitude []float64, window float64) []float64 {
	if distance == nil || altitude == nil {
		return nil
	}
	if len(distance) != len(altitude) {
		panic("metrics: distance and altitude of different length")
	}
	points, pointOf := gradePoints(distance, altitude)
	slopes := make([]float64, len(points))
	low, high := 0, 0
	for i, p := range points {
		for points[low].along < p.along-window/2 {
			low++
		}
		for high < len(points) && points[high].along <= p.along+window/2 {
			high++
		}
		slopes[i] = clampGrade(100 * fittedSlope(points[low:high], window/2))
	}

	grade := make([]float64, len(distance))
	for i, p := range pointOf {
		grade[i] = math.NaN()
		if p >= 0 {
			grade[i] = slopes[p]
		}
	}
	return grade
}

// gradePoint is a place on the way with its mean altitude.
type gradePoint struct {
	along, altitude float64
	seconds         float64
}

// gradePoints gathers the seconds into places at least gradePointStep apart,
// and tells the place of each second, −1 for none. A distance that falls back
// stays at the last place.
func gradePoints(distance, altitude []float64) (points []gradePoint, pointOf []int) {
	pointOf = make([]int, len(distance))
	for i, d := range distance {
		pointOf[i] = -1
		if math.IsNaN(d) || math.IsNaN(altitude[i]) {
			continue
		}
		last := len(points) - 1
		if last < 0 || d >= points[last].along+gradePointStep {
			points = append(points, gradePoint{along: d})
			last++
		}
		p := &points[last]
		p.seconds++
		p.altitude += (altitude[i] - p.altitude) / p.seconds
		pointOf[i] = last
	}
	return points, pointOf
}

// fittedSlope is the least-squares slope of altitude over distance; NaN when the
// points span less than the given distance.
func fittedSlope(points []gradePoint, span float64) float64 {
	if n := len(points); n < 3 || points[n-1].along-points[0].along < span {
		return math.NaN()
	}
	// About the first point, so that a long way leaves no rounding behind.
	origin := points[0]
	var sumX, sumY, sumXX, sumXY float64
	for _, p := range points {
		x, y := p.along-origin.along, p.altitude-origin.altitude
		sumX += x
		sumY += y
		sumXX += x * x
		sumXY += x * y
	}
	n := float64(len(points))
	return (n*sumXY - sumX*sumY) / (n*sumXX - sumX*sumX)
}
