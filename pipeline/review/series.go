package review

import (
	"iter"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// maxPoints is the most points that a line across a page is drawn with: about
// two an em of its width. More make a page heavy and look the same.
const maxPoints = 520

// thinned is a column at a coarser grid.
type thinned struct {
	every  int       // seconds a value
	values []float64 // means over every seconds; NaN where nothing is valid
}

// thin averages a 1 Hz column so that at most maxPoints are left.
func thin(column []float64) thinned {
	every := max(1, (len(column)+maxPoints-1)/maxPoints)
	t := thinned{every: every, values: make([]float64, 0, min(maxPoints, len(column)))}
	for start := 0; start < len(column); start += every {
		sum, n := 0.0, 0
		for _, v := range column[start:min(start+every, len(column))] {
			if !math.IsNaN(v) {
				sum += v
				n++
			}
		}
		if n == 0 {
			sum = math.NaN()
		}
		t.values = append(t.values, sum/float64(max(n, 1)))
	}
	return t
}

// line draws a column over time; where values are missing it breaks.
type line struct {
	on    *drawing
	from  float64 // x of the first value's first second
	data  thinned
	style draw.LineStyle
}

// Plot draws the line; it makes a plotter of it.
func (l line) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := transforms(c, p)
	every := float64(l.data.every)
	for first, run := range runs(l.data.values) {
		l.on.startStroke(l.style)
		middle := l.from + (float64(first)+0.5)*every
		l.on.moveTo(vg.Point{X: x.of(middle), Y: y.of(run[0])})
		for i, v := range run[1:] {
			l.on.lineTo(vg.Point{X: x.of(middle + float64(i+1)*every), Y: y.of(v)})
		}
		if len(run) == 1 {
			// A lone value would be a point without extent.
			l.on.lineTo(vg.Point{X: x.of(middle + every/2), Y: y.of(run[0])})
		}
	}
}

// runs gives the unbroken stretches of valid values with the index of the first.
func runs(values []float64) iter.Seq2[int, []float64] {
	return func(yield func(int, []float64) bool) {
		start := 0
		for i := 0; i <= len(values); i++ {
			if i < len(values) && !math.IsNaN(values[i]) {
				continue
			}
			if i > start && !yield(start, values[start:i]) {
				return
			}
			start = i + 1
		}
	}
}
