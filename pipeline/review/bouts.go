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

// quarterColumn is all quarters' means in the shown unit.
func quarterColumn(bouts []tables.Bout, times float64) []float64 {
	column := make([]float64, 0, 4*len(bouts))
	for _, b := range bouts {
		for _, level := range quarterLevels(b) {
			column = append(column, level*times)
		}
	}
	return column
}

func byNumber(bouts []tables.Bout) []tables.Bout {
	inOrder := func(a, b tables.Bout) int { return cmp.Compare(a.Bout, b.Bout) }
	if slices.IsSortedFunc(bouts, inOrder) {
		return bouts
	}
	return slices.SortedStableFunc(slices.Values(bouts), inOrder)
}

// boutMarks draws a session's bouts behind and above its lines.
type boutMarks struct {
	on      *drawing
	bouts   []tables.Bout
	numbers bool // write the bouts' numbers and mark the recoveries
}

const (
	// minDoubt is the least width at which a boundary's uncertainty is drawn: a
	// second of an hour's session would be a hairline.
	minDoubt = 1.2

	// recoveryDepth is how far below the plot's upper edge recoveries are
	// marked and numbers stand.
	recoveryDepth = 7
)

// Plot shades each bout, lays the uncertainty of its boundaries over their
// edges, and marks the recovery with a line that ends in ticks. What looks
// alike is drawn together, so that it becomes one element.
func (m boutMarks) Plot(c draw.Canvas, p *plot.Plot) {
	x, _ := transforms(c, p)
	for _, b := range m.bouts {
		left, right := max(x.of(b.StartS), c.Min.X), min(x.of(b.EndS), c.Max.X)
		if b.Confidence == confirmed && left < right {
			m.on.fillRectangle(&inkBout, left, c.Min.Y, right, c.Max.Y)
		}
	}
	for _, b := range m.bouts {
		if b.Confidence != confirmed {
			m.outline(c, x.of(b.StartS), x.of(b.EndS))
		}
	}
	doubts := m.doubts(c, x)
	for _, d := range doubts {
		m.on.fillRectangle(&inkRule, d.left, c.Min.Y, d.right, c.Max.Y)
	}
	for _, d := range doubts {
		m.hatch(c, d)
	}
	if !m.numbers {
		return
	}
	for _, b := range m.bouts {
		m.number(c, b, x.of((b.StartS+b.EndS)/2))
	}
	for _, b := range m.bouts {
		if b.Recovery != nil {
			m.recovery(c, x.of(b.EndS), min(x.of(b.EndS+*b.Recovery), c.Max.X), b.RecoveryKind)
		}
	}
}

// outline marks a bout that is a question; an answer is filled.
func (m boutMarks) outline(c draw.Canvas, left, right vg.Length) {
	bottom, top := c.Min.Y, c.Max.Y
	m.on.strokeLine(dashed(&inkDoubt, 0.8, 3, 2), vg.Point{X: left, Y: bottom}, vg.Point{X: left, Y: top},
		vg.Point{X: right, Y: top}, vg.Point{X: right, Y: bottom})
}

// doubt is where a boundary may lie.
type doubt struct{ left, right vg.Length }

// doubts are those of all boundaries, as far as they lie on the canvas.
func (m boutMarks) doubts(c draw.Canvas, x linear) []doubt {
	list := make([]doubt, 0, 2*len(m.bouts))
	add := func(at, uncertainty float64) {
		left, right := x.of(at-uncertainty), x.of(at+uncertainty)
		if lack := minDoubt - (right - left); lack > 0 {
			left, right = left-lack/2, right+lack/2
		}
		if left, right = max(left, c.Min.X), min(right, c.Max.X); left < right {
			list = append(list, doubt{left, right})
		}
	}
	for _, b := range m.bouts {
		add(b.StartS, b.StartUncertainty)
	}
	for _, b := range m.bouts {
		add(b.EndS, b.EndUncertainty)
	}
	return list
}

// hatch tells a doubt from the bout without colour. It is a single upright line
// as wide as the doubt, whose dashes are the hatching.
func (m boutMarks) hatch(c draw.Canvas, d doubt) {
	middle := (d.left + d.right) / 2
	m.on.strokeLine(dashed(&inkDoubt, (d.right-d.left).Points(), 0.7, 3.3),
		vg.Point{X: middle, Y: c.Min.Y}, vg.Point{X: middle, Y: c.Max.Y})
}

func (m boutMarks) number(c draw.Canvas, b tables.Bout, middle vg.Length) {
	number := whole(float64(b.Bout))
	if b.Confidence != confirmed {
		number += "?"
	}
	// The library's axes raise what they centre by the descent, and so do we.
	at := vg.Point{X: middle, Y: c.Max.Y - recoveryDepth + descent*plotFontSize}
	c.FillText(m.on.lettering(&inkText, draw.XCenter, draw.YCenter), at, number)
}

// recovery marks the time from a bout to the next as a line that ends in ticks.
func (m boutMarks) recovery(c draw.Canvas, left, right vg.Length, kind string) {
	if left, right = left+1, right-1; right <= left {
		return
	}
	y, tick := c.Max.Y-recoveryDepth, vg.Points(2.5)
	solid := stroke(&inkDoubt, 1)
	along := solid
	if kind == "passive" {
		along = dashed(&inkDoubt, 1, 1.5, 1.5)
	}
	m.on.strokeLine(along, vg.Point{X: left, Y: y}, vg.Point{X: right, Y: y})
	for _, end := range [...]vg.Length{left, right} {
		m.on.strokeLine(solid, vg.Point{X: end, Y: y - tick}, vg.Point{X: end, Y: y + tick})
	}
}

// quarterSteps draws the mean of each quarter of each bout as a step.
type quarterSteps struct {
	on    *drawing
	bouts []tables.Bout
	times float64 // from the signal's own unit to the plot's
	width float64 // of the line, in points
}

// Plot draws the steps; quarters without a mean are left out.
func (q quarterSteps) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := transforms(c, p)
	for _, b := range q.bouts {
		levels := quarterLevels(b)
		for first, run := range runs(levels[:]) {
			q.on.startStroke(stroke(&inkQuarter, q.width))
			for i, level := range run {
				left := b.StartS + b.DurationS*float64(first+i)/4
				start := vg.Point{X: x.of(left), Y: y.of(level * q.times)}
				if i == 0 {
					q.on.moveTo(start)
				} else {
					q.on.lineTo(start)
				}
				q.on.lineTo(vg.Point{X: x.of(left + b.DurationS/4), Y: start.Y})
			}
		}
	}
}
