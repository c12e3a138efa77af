package review

import (
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

const plotFontSize = 9

// axis is what an axis of a plot shows.
type axis struct {
	name      string // "" for none
	low, high float64
	ticks     []plot.Tick
}

func stroke(k *ink, width float64) draw.LineStyle {
	return draw.LineStyle{Color: k, Width: vg.Points(width)}
}

// dashed is a stroke with dashes and gaps, in points.
func dashed(k *ink, width float64, dash, gap vg.Length) draw.LineStyle {
	line := stroke(k, width)
	line.Dashes = []vg.Length{dash, gap}
	return line
}

// lettering is the style of a plot's text on the drawing.
func (d *drawing) lettering(k *ink, x text.XAlignment, y text.YAlignment) text.Style {
	return text.Style{Color: k, Font: font.Font{Size: plotFontSize}, XAlign: x, YAlign: y, Handler: d}
}

// newPlot is an empty plot in the review's plain style.
func newPlot(d *drawing, x, y axis) *plot.Plot {
	p := plot.New()
	p.BackgroundColor = nil
	p.TextHandler = d
	p.Legend.TextStyle.Handler = d // the library makes room for an empty one too
	x.set(d, &p.X, d.lettering(&inkText, draw.XCenter, draw.YTop))
	y.set(d, &p.Y, d.lettering(&inkText, draw.XRight, draw.YCenter))
	p.Y.Label.Padding = 3 // numbers may be wider in the reader's font
	p.Add(&plotter.Grid{Horizontal: stroke(&inkRule, 0.5)})
	return p
}

// set gives a plot's axis its range, look and ticks. The library asks for the
// ticks a dozen times a drawing, so they are made once.
func (a axis) set(d *drawing, to *plot.Axis, numbers text.Style) {
	to.Min, to.Max = a.low, a.high
	to.LineStyle = stroke(&inkMuted, 0.6)
	to.Padding = 0
	to.Label.Text = a.name
	to.Label.TextStyle = d.lettering(&inkMuted, draw.XCenter, draw.YBottom)
	to.Tick.LineStyle = stroke(&inkMuted, 0.6)
	to.Tick.Length = vg.Points(3)
	to.Tick.Label = numbers
	to.Tick.Marker = plot.ConstantTicks(a.ticks)
}

// linear turns an axis's values into lengths on a canvas.
type linear struct {
	from float64
	at   vg.Length // of from
	per  vg.Length // a unit of value
}

func (l linear) of(v float64) vg.Length { return l.at + vg.Length(v-l.from)*l.per }

// transforms are a plot's onto its part of the canvas. The library's own copy
// the whole axis at each value.
func transforms(c draw.Canvas, p *plot.Plot) (x, y linear) {
	x = linear{p.X.Min, c.Min.X, (c.Max.X - c.Min.X) / vg.Length(p.X.Max-p.X.Min)}
	y = linear{p.Y.Min, c.Min.Y, (c.Max.Y - c.Min.Y) / vg.Length(p.Y.Max-p.Y.Min)}
	return x, y
}

// evenTicks marks round values, about four of them.
func evenTicks(low, high float64) []plot.Tick {
	step := roundStep((high - low) / 4)
	digits := max(0, int(math.Ceil(-math.Log10(step))))
	var ticks []plot.Tick
	for k := math.Ceil(low/step - 1e-9); k*step <= high+1e-9*step; k++ {
		ticks = append(ticks, plot.Tick{Value: k * step, Label: num(digits, k*step)})
	}
	return ticks
}

// roundStep is the least of 1, 2 and 5 times a power of ten that is not below x.
func roundStep(x float64) float64 {
	if !(x > 0) {
		return 1
	}
	unit := math.Pow(10, math.Floor(math.Log10(x)))
	for _, times := range []float64{1, 2, 5} {
		if times*unit >= x {
			return times * unit
		}
	}
	return 10 * unit
}

// span is the range of the valid values, widened to a round step at both ends
// so that no line touches the frame. ok is false with no valid value.
func span(columns ...[]float64) (low, high float64, ok bool) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, column := range columns {
		for _, v := range column {
			// Both are false of a missing value.
			if v < low {
				low = v
			}
			if v > high {
				high = v
			}
		}
	}
	if low > high {
		return 0, 0, false
	}
	step := roundStep(max((high-low)/8, high/1e3, 1e-3))
	return math.Floor(low/step) * step, math.Ceil(high/step+1e-9) * step, true
}

// timeTicks marks whole minutes, ten at most; x is in seconds.
func timeTicks(low, high float64) []plot.Tick {
	step := 60.0
	for _, minutes := range []float64{1, 2, 5, 10, 15, 30, 60, 120, 240, 480} {
		if step = 60 * minutes; (high-low)/step <= 10 {
			break
		}
	}
	var ticks []plot.Tick
	for x := math.Ceil(low/step) * step; x <= high; x += step {
		ticks = append(ticks, plot.Tick{Value: x, Label: whole(x / 60)})
	}
	return ticks
}
