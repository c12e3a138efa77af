package review

import (
	"fmt"
	"html/template"
	"math"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"boutwise/pipeline/tables"
)

// Sizes of the session's drawings, in points.
const (
	traceWidth  = 720
	panelHeight = 150
	axisHeight  = 28 // the time axis below the last panel

	boutWidth  = 236
	boutHeight = 128
)

// traceView is the drawing of a whole session.
type traceView struct {
	SVG     template.HTML
	Label   string // what it shows, for those who cannot see it
	Every   int    // seconds that a point of its lines stands for
	HasGaps bool
	Steps   bool // quarters are drawn
}

// panel is one signal over the session's time.
type panel struct {
	name, unit string
	values     []float64 // one a second, in the shown unit
	low, high  float64   // their span
	ink        *ink
	steps      bool    // draw the bouts' quarters
	times      float64 // from the signal's own unit to the shown one
}

// panels are the session's signals: its output, where it has one, above its
// heart rate. One without a valid value is left out.
func panels(data SessionData) []panel {
	var list []panel
	add := func(p panel) {
		var ok bool
		if p.low, p.high, ok = span(p.values); ok {
			list = append(list, p)
		}
	}
	if signal := data.Session.OutputSignal; signal != heartRate {
		unit, times, _ := outputUnit(signal, data.Units)
		add(panel{
			name: plain(signal), unit: unit, values: scaled(data.Output, times),
			ink: &inkOutput, steps: true, times: times,
		})
	}
	add(panel{name: "heart rate", unit: "bpm", values: data.Trace.HeartRate, ink: &inkHeart, times: 1})
	return list
}

// scaled is the column, or a multiple of it.
func scaled(column []float64, times float64) []float64 {
	if times == 1 {
		return column
	}
	out := make([]float64, len(column))
	for i, v := range column {
		out[i] = v * times
	}
	return out
}

// drawTrace draws the session's signals one below the other over one time
// axis, with its bouts. Nil when the trace holds neither output nor heart rate.
func drawTrace(data SessionData, bouts []tables.Bout) (*traceView, error) {
	list := panels(data)
	if len(list) == 0 {
		return nil, nil
	}
	view := &traceView{Label: traceLabel(list, bouts, data.Trace.N), Steps: list[0].steps && len(bouts) > 0}
	reduced := make([]thinned, len(list))
	for i, pan := range list {
		reduced[i] = thin(pan.values)
		view.Every = reduced[i].every
		view.HasGaps = view.HasGaps || slices.ContainsFunc(reduced[i].values, math.IsNaN)
	}
	height := float64(len(list)*panelHeight + axisHeight)
	var err error
	view.SVG, err = drawSVG(traceWidth, vg.Points(height), func(d *drawing) {
		grid := make([][]*plot.Plot, len(list))
		for i, pan := range list {
			grid[i] = []*plot.Plot{tracePanel(d, pan, reduced[i], bouts, data.Trace.N, i == 0, i == len(list)-1)}
		}
		tiles := draw.Tiles{Rows: len(list), Cols: 1, PadY: 4, PadRight: 6, PadTop: 4}
		for i, row := range plot.Align(grid, tiles, d.canvas()) {
			grid[i][0].Draw(row[0])
		}
	})
	return view, err
}

// tracePanel is the plot of one signal. The first panel carries the bouts'
// numbers, the last the time axis's name.
func tracePanel(d *drawing, pan panel, reduced thinned, bouts []tables.Bout, seconds int, first, last bool) *plot.Plot {
	var steps []float64
	if pan.steps {
		steps = quarterColumn(bouts, pan.times)
	}
	low, high, _ := span(reduced.values, steps)
	if first && len(bouts) > 0 {
		// Room above the line for the bouts' numbers.
		high += (high - low) / 7
	}
	x := axis{high: float64(max(1, seconds))}
	x.ticks = timeTicks(x.low, x.high)
	if last {
		x.name = "minutes from the start"
	}
	p := newPlot(d, x, axis{pan.name + ", " + pan.unit, low, high, evenTicks(low, high)})
	p.Add(boutMarks{on: d, bouts: bouts, numbers: first}, line{on: d, data: reduced, style: stroke(pan.ink, 0.9)})
	if pan.steps {
		p.Add(quarterSteps{on: d, bouts: bouts, times: pan.times, width: 1.3})
	}
	return p
}

func traceLabel(list []panel, bouts []tables.Bout, seconds int) string {
	var names []string
	for _, pan := range list {
		names = append(names, fmt.Sprintf("%s between %s and %s %s", pan.name, whole(pan.low), whole(pan.high), pan.unit))
	}
	label := fmt.Sprintf("Plot of %s over %s.", listed(names), clock(float64(seconds)))
	if len(bouts) > 0 {
		label += fmt.Sprintf(" %s marked; their figures are in the table of bouts.", capital(plural(len(bouts), "bout")))
	}
	return label
}

// boutView is the drawing of one bout.
type boutView struct {
	SVG   template.HTML
	Label string
	Bout  tables.Bout
}

// Around a bout, so much is drawn before it and after it, in seconds: the ramp
// up and the first of the recovery.
const (
	secondsBefore = 15
	secondsAfter  = 30
)

// drawBouts draws the output of each bout at a scale of its own in time and
// one scale for all in output, so that bouts compare at a glance. None for
// bouts by heart rate, which has no quarters.
func drawBouts(data SessionData, bouts []tables.Bout) ([]boutView, error) {
	unit, times, digits := outputUnit(data.Session.OutputSignal, data.Units)
	values := scaled(data.Output, times)
	parts := cutOuts(values, bouts)
	if _, _, ok := span(parts...); !ok || data.Session.OutputSignal == heartRate {
		return nil, nil
	}
	low, high, _ := span(append(parts, quarterColumn(bouts, times))...)
	output := axis{unit, low, high, evenTicks(low, high)}
	views := make([]boutView, 0, len(bouts))
	for _, b := range bouts {
		svg, err := drawSVG(boutWidth, boutHeight, func(d *drawing) {
			boutPlot(d, b, values, times, output).Draw(draw.Crop(d.canvas(), 0, -4, 0, -4))
		})
		if err != nil {
			return nil, err
		}
		views = append(views, boutView{SVG: svg, Label: boutLabel(b, times, digits, unit), Bout: b})
	}
	return views, nil
}

// boutPlot is the plot of one bout over its seconds.
func boutPlot(d *drawing, b tables.Bout, values []float64, times float64, output axis) *plot.Plot {
	x := axis{name: "seconds from the bout's start", low: b.StartS - secondsBefore, high: b.EndS + secondsAfter}
	x.ticks = secondTicks(b.StartS, x.low, x.high)
	p := newPlot(d, x, output)
	from, part := cutOut(values, b)
	one := []tables.Bout{b}
	p.Add(
		boutMarks{on: d, bouts: one},
		line{on: d, from: from, data: thinned{every: 1, values: part}, style: stroke(&inkOutput, 0.8)},
		quarterSteps{on: d, bouts: one, times: times, width: 1.8},
	)
	return p
}

// cutOut is the part of a column around a bout, and the second it begins at.
func cutOut(values []float64, b tables.Bout) (from float64, part []float64) {
	first := min(len(values), max(0, int(b.StartS)-secondsBefore))
	end := max(first, min(len(values), int(math.Ceil(b.EndS))+secondsAfter))
	return float64(first), values[first:end]
}

func cutOuts(values []float64, bouts []tables.Bout) [][]float64 {
	var parts [][]float64
	for _, b := range bouts {
		_, part := cutOut(values, b)
		parts = append(parts, part)
	}
	return parts
}

// secondTicks marks round seconds, six at most, counted from start.
func secondTicks(start, low, high float64) []plot.Tick {
	step := 10.0
	for _, s := range []float64{10, 20, 30, 60, 120, 300, 600, 1200} {
		if step = s; (high-low)/step <= 6 {
			break
		}
	}
	var ticks []plot.Tick
	for s := 0.0; start+s <= high; s += step {
		ticks = append(ticks, plot.Tick{Value: start + s, Label: whole(s)})
	}
	return ticks
}

func boutLabel(b tables.Bout, times float64, digits int, unit string) string {
	var quarters []string
	for _, level := range quarterLevels(b) {
		quarters = append(quarters, num(digits, level*times))
	}
	return fmt.Sprintf("Output of bout %d; means of its quarters: %s %s.", b.Bout, listed(quarters), unit)
}
