package review

import (
	"cmp"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"boutwise/pipeline/tables"
)

// boutMean is a bout's mean in its signal's own unit; NaN without one.
func boutMean(b tables.Bout) float64 {
	switch b.Signal {
	case "power":
		return tables.Value(b.MeanPower)
	case "oxygen_cost":
		return tables.Value(b.MeanOxygenCost)
	case "speed":
		return tables.Value(b.MeanSpeed)
	case heartRate:
		return tables.Value(b.MeanHR)
	}
	return tables.Value(nil)
}

// quarterLevels are the means of a bout's quarters in its signal's own unit.
func quarterLevels(b tables.Bout) [4]float64 {
	var levels [4]float64
	for i, pct := range []*float64{b.Quarter1, b.Quarter2, b.Quarter3, b.Quarter4} {
		levels[i] = boutMean(b) * tables.Value(pct) / 100
	}
	return levels
}

func byNumber(bouts []tables.Bout) []tables.Bout {
	return slices.SortedStableFunc(slices.Values(bouts), func(a, b tables.Bout) int { return cmp.Compare(a.Bout, b.Bout) })
}

// boutMarks draws a session's bouts behind and above its lines.
type boutMarks struct {
	bouts   []tables.Bout
	numbers bool // write the bouts' numbers and mark the recoveries
}

// minDoubt is the least width at which a boundary's uncertainty is drawn: a
// second of an hour's session would be a hairline.
const minDoubt = 1.2

// Plot shades each bout, lays the uncertainty of its boundaries over their
// edges, and marks the recovery with a line that ends in ticks.
func (m boutMarks) Plot(c draw.Canvas, p *plot.Plot) {
	x, _ := p.Transforms(&c)
	bottom, top := c.Min.Y, c.Max.Y
	for _, b := range m.bouts {
		left, right := x(b.StartS), x(b.EndS)
		if b.Confidence == confirmed {
			fill(c, inkBout, left, bottom, right, top)
		} else {
			// A question is an outline, an answer is filled.
			outline := stroke(inkDoubt, 0.8)
			outline.Dashes = []vg.Length{vg.Points(3), vg.Points(2)}
			c.StrokeLines(outline, []vg.Point{{X: left, Y: bottom}, {X: left, Y: top}, {X: right, Y: top}, {X: right, Y: bottom}})
		}
		m.doubt(c, x(b.StartS-b.StartUncertainty), x(b.StartS+b.StartUncertainty))
		m.doubt(c, x(b.EndS-b.EndUncertainty), x(b.EndS+b.EndUncertainty))
		if m.numbers {
			m.number(c, b, (left+right)/2)
			m.recovery(c, right, x(b.EndS+tables.Value(b.Recovery)), b)
		}
	}
}

func (m boutMarks) doubt(c draw.Canvas, left, right vg.Length) {
	if lack := vg.Points(minDoubt) - (right - left); lack > 0 {
		left, right = left-lack/2, right+lack/2
	}
	left, right = max(left, c.Min.X), min(right, c.Max.X)
	// Hatched, so that it is told from the bout without colour.
	fill(c, inkRule, left, c.Min.Y, right, c.Max.Y)
	for y := c.Min.Y; y < c.Max.Y; y += vg.Points(4) {
		c.StrokeLine2(stroke(inkDoubt, 0.7), left, y, right, min(y+(right-left), y+vg.Points(4)))
	}
}

func (m boutMarks) number(c draw.Canvas, b tables.Bout, middle vg.Length) {
	text := whole(float64(b.Bout))
	if b.Confidence != confirmed {
		text += "?"
	}
	style := newPlot("", "", 0, 1).X.Tick.Label
	style.XAlign, style.YAlign = draw.XCenter, draw.YTop
	c.FillText(style, vg.Point{X: middle, Y: c.Max.Y - vg.Points(2)}, text)
}

func (m boutMarks) recovery(c draw.Canvas, left, right vg.Length, b tables.Bout) {
	if b.Recovery == nil || right <= left {
		return
	}
	y, tick := c.Max.Y-vg.Points(7), vg.Points(2.5)
	style := stroke(inkDoubt, 1)
	if b.RecoveryKind == "passive" {
		style.Dashes = []vg.Length{vg.Points(1.5), vg.Points(1.5)}
	}
	c.StrokeLine2(style, left+vg.Points(1), y, right-vg.Points(1), y)
	for _, end := range []vg.Length{left + vg.Points(1), right - vg.Points(1)} {
		c.StrokeLine2(stroke(inkDoubt, 1), end, y-tick, end, y+tick)
	}
}

// fill paints a rectangle, cut off at the canvas.
func fill(c draw.Canvas, k ink, left, bottom, right, top vg.Length) {
	left, right = max(left, c.Min.X), min(right, c.Max.X)
	if right <= left {
		return
	}
	c.FillPolygon(k.color(), []vg.Point{{X: left, Y: bottom}, {X: right, Y: bottom}, {X: right, Y: top}, {X: left, Y: top}})
}

// quarterSteps draws the mean of each quarter of each bout as a step.
type quarterSteps struct {
	bouts []tables.Bout
	times float64 // from the signal's own unit to the plot's
	width float64 // of the line, in points
}

// Plot draws the steps; quarters without a mean are left out.
func (q quarterSteps) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	for _, b := range q.bouts {
		levels := quarterLevels(b)
		for first, run := range runs(levels[:]) {
			points := make([]vg.Point, 0, 2*len(run))
			for i, level := range run {
				left := b.StartS + b.DurationS*float64(first+i)/4
				at := y(level * q.times)
				points = append(points, vg.Point{X: x(left), Y: at}, vg.Point{X: x(left + b.DurationS/4), Y: at})
			}
			c.StrokeLines(stroke(inkQuarter, q.width), c.ClipLinesXY(points)...)
		}
	}
}
