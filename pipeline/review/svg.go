package review

import (
	"bytes"
	"fmt"
	"html/template"
	"image/color"
	"math"
	"regexp"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"
)

// A drawing must follow the page's colours, dark and light, but the plotting
// library writes colours as numbers. So each ink is drawn in a colour of its
// own that stands for it, and in the finished SVG that colour is replaced by
// the ink's custom property.

// color is the colour that stands for the ink while drawing.
func (k ink) color() color.Color {
	for i, other := range inks() {
		if other.name == k.name {
			return color.NRGBA{R: 0x7e, G: 0x57, B: uint8(i), A: 0xff}
		}
	}
	panic("review: ink " + k.name + " is not in the palette")
}

// toInks replaces standing-in colours by the inks' custom properties.
var toInks = func() *strings.Replacer {
	var pairs []string
	for i, k := range inks() {
		pairs = append(pairs, fmt.Sprintf("#7E57%02X", i), k.variable())
	}
	return strings.NewReplacer(pairs...)
}()

// fonts matches the font that the library names for a text; the page's own
// takes its place.
var fonts = regexp.MustCompile(`font-family:[^;"]*;font-variant:[^;"]*;font-weight:[^;"]*;font-style:[^;"]*;?`)

// drawSVG makes an SVG of the given size, in points. The figure around it holds
// the label, so the SVG itself is hidden from screen readers.
func drawSVG(width, height vg.Length, paint func(draw.Canvas)) (template.HTML, error) {
	canvas := vgsvg.NewWith(vgsvg.UseWH(width, height))
	paint(draw.New(canvas))
	var buf bytes.Buffer
	if _, err := canvas.WriteTo(&buf); err != nil {
		return "", fmt.Errorf("drawing: %w", err)
	}
	_, body, found := strings.Cut(buf.String(), "<svg")
	_, body, closed := strings.Cut(body, ">")
	if !found || !closed {
		return "", fmt.Errorf("drawing: no svg element in the plotting library's output")
	}
	head := fmt.Sprintf(`<svg viewBox="0 0 %g %g" width="%g" height="%g" aria-hidden="true" focusable="false">`,
		width.Points(), height.Points(), width.Points(), height.Points())
	return template.HTML(head + fonts.ReplaceAllString(toInks.Replace(body), "")), nil
}

func stroke(k ink, width float64) draw.LineStyle {
	return draw.LineStyle{Color: k.color(), Width: vg.Points(width)}
}

const plotFontSize = 9

// newPlot is an empty plot in the review's plain style.
func newPlot(xLabel, yLabel string, low, high float64) *plot.Plot {
	p := plot.New()
	p.BackgroundColor = nil
	p.X.Label.Text, p.Y.Label.Text = xLabel, yLabel
	for _, axis := range []*plot.Axis{&p.X, &p.Y} {
		axis.LineStyle = stroke(inkMuted, 0.6)
		axis.Tick.LineStyle = stroke(inkMuted, 0.6)
		axis.Tick.Length = vg.Points(3)
		axis.Padding = 0
		axis.Label.TextStyle.Font.Size = plotFontSize
		axis.Label.TextStyle.Color = inkMuted.color()
		axis.Tick.Label.Font.Size = plotFontSize
		axis.Tick.Label.Color = inkText.color()
	}
	grid := plotter.NewGrid()
	grid.Vertical.Color = nil
	grid.Horizontal = stroke(inkRule, 0.5)
	p.Add(grid)
	p.Y.Min, p.Y.Max = low, high
	p.Y.Tick.Marker = plot.TickerFunc(evenTicks)
	return p
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
			if !math.IsNaN(v) {
				low, high = min(low, v), max(high, v)
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
