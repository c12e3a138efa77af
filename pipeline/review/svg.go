package review

import (
	"fmt"
	"html/template"
	"image"
	"image/color"
	"math"
	"strconv"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// drawing is an SVG in the making. To the plotting library it is the canvas
// (vg.Canvas) and the handler of text (text.Handler, in lettering.go). It
// differs from the library's own SVG canvas in three ways:
//
//   - A colour is an ink and is written as its custom property, so that a
//     drawing follows the page's colours, dark and light.
//   - Coordinates are whole tenths of a point, at most a quarter of a pixel on
//     the page, from the upper left corner, and the points of a line are steps
//     from the one before.
//   - What is drawn in one style one after the other is one element.
//
// With the second and the third a drawing is a fifth as large.
type drawing struct {
	svg           []byte
	width, height vg.Length

	pen  style // what the next stroke is drawn with
	open style // of the element that svg ends in

	x, y           int  // where the path stands, in tenths of a point
	startX, startY int  // where its present part began
	inLine         bool // svg ends in steps of a line

	line [1]string // what Lines returns
	err  error     // the first thing that could not be drawn
}

// style is what tells one element of a drawing from the next.
type style struct {
	what   byte // one of the following; 0 for none
	ink    *ink
	width  int    // of a stroke, in tenths of a point
	dashes [2]int // dash and gap; zero for a solid stroke
	size   int    // of letters
	anchor string // of letters: what lies at their point
}

const (
	stroked = 's'
	filled  = 'f'
	letters = 'l'
)

// drawSVG makes an SVG of the given size. The figure around it holds the
// label, so the SVG itself is hidden from screen readers.
func drawSVG(width, height vg.Length, paint func(d *drawing)) (template.HTML, error) {
	d := &drawing{
		svg: make([]byte, 0, 4096), width: width, height: height,
		pen: style{what: stroked, ink: &inkText, width: 10}, // the library's own start
	}
	d.write(`<svg viewBox="0 0`)
	d.number(d.tenths(width))
	d.number(d.tenths(height))
	d.write(`" width="`)
	d.svg = strconv.AppendFloat(d.svg, width.Points(), 'f', -1, 64)
	d.write(`" height="`)
	d.svg = strconv.AppendFloat(d.svg, height.Points(), 'f', -1, 64)
	d.write(`" fill="none" aria-hidden="true" focusable="false">`)
	paint(d)
	d.end()
	d.write(`</svg>`)
	if d.err != nil {
		return "", d.err
	}
	return template.HTML(d.svg), nil
}

// canvas is the whole of the drawing.
func (d *drawing) canvas() draw.Canvas { return draw.NewCanvas(d, d.width, d.height) }

// refuse notes what cannot be drawn; drawSVG returns the first of them.
func (d *drawing) refuse(what string) {
	if d.err == nil {
		d.err = fmt.Errorf("drawing: cannot draw %s", what)
	}
}

func (d *drawing) write(s string) { d.svg = append(d.svg, s...) }

// number writes a whole number, parted from one before it where it must be.
func (d *drawing) number(n int) {
	if last := d.svg[len(d.svg)-1]; n >= 0 && last >= '0' && last <= '9' {
		d.svg = append(d.svg, ' ')
	}
	d.svg = strconv.AppendInt(d.svg, int64(n), 10)
}

// farthest is, in tenths of a point, further out than any drawing is large.
const farthest = 1e5

// tenths rounds a length to what is written.
func (d *drawing) tenths(l vg.Length) int {
	t := math.RoundToEven(10 * l.Points())
	if !(math.Abs(t) < farthest) {
		d.refuse("at a coordinate that is not finite or far outside")
		return 0
	}
	return int(t)
}

func (d *drawing) at(p vg.Point) (x, y int) { return d.tenths(p.X), d.tenths(d.height - p.Y) }

// begin makes the drawing end in an element of the style.
func (d *drawing) begin(s style) {
	if s == d.open {
		return
	}
	d.end()
	d.open = s
	switch s.what {
	case stroked:
		d.write(`<path style="stroke:var(--`)
		d.write(s.ink.name)
		d.write(`);stroke-width:`)
		d.svg = strconv.AppendInt(d.svg, int64(s.width), 10)
		if s.dashes != [2]int{} {
			d.write(`;stroke-dasharray:`)
			d.number(s.dashes[0])
			d.number(s.dashes[1])
		}
		d.write(`" d="`)
	case filled:
		d.write(`<path style="fill:var(--`)
		d.write(s.ink.name)
		d.write(`)" d="`)
	case letters:
		d.write(`<g style="fill:var(--`)
		d.write(s.ink.name)
		d.write(`);font-size:`)
		d.svg = strconv.AppendInt(d.svg, int64(s.size), 10)
		d.write(`px;text-anchor:`)
		d.write(s.anchor)
		d.write(`">`)
	}
}

// end closes the element that the drawing ends in.
func (d *drawing) end() {
	switch d.open.what {
	case stroked, filled:
		d.write(`"/>`)
	case letters:
		d.write(`</g>`)
	}
	d.open = style{}
}

// moveTo begins a part of a path.
func (d *drawing) moveTo(p vg.Point) {
	d.x, d.y = d.at(p)
	d.startX, d.startY = d.x, d.y
	d.svg = append(d.svg, 'M')
	d.number(d.x)
	d.number(d.y)
	d.inLine = false
}

// lineTo goes on straight. A step too small to be written is left out; the
// next one begins where the last that was written ended.
func (d *drawing) lineTo(p vg.Point) {
	x, y := d.at(p)
	if x == d.x && y == d.y {
		return
	}
	if !d.inLine {
		d.svg = append(d.svg, 'l')
		d.inLine = true
	}
	d.number(x - d.x)
	d.number(y - d.y)
	d.x, d.y = x, y
}

// arcTo goes on along an arc, in two halves: a single one cannot be a circle.
func (d *drawing) arcTo(arc *vg.PathComp) {
	for _, part := range [...]float64{0, 0.5, 1} {
		sin, cos := math.Sincos(arc.Start + part*arc.Angle)
		p := arc.Pos.Add(vg.Point{X: arc.Radius * vg.Length(cos), Y: arc.Radius * vg.Length(sin)})
		if part == 0 {
			d.lineTo(p)
			continue
		}
		// The sweep's flag: with y downwards, angles grow against the clock.
		sweep := 0
		if arc.Angle < 0 {
			sweep = 1
		}
		x, y := d.at(p)
		radius := d.tenths(arc.Radius)
		d.svg = append(d.svg, 'a')
		for _, n := range [...]int{radius, radius, 0, 0, sweep, x - d.x, y - d.y} {
			d.number(n)
		}
		d.x, d.y = x, y
	}
	d.inLine = false
}

func (d *drawing) close() {
	d.svg = append(d.svg, 'z')
	d.x, d.y = d.startX, d.startY
	d.inLine = false
}

func (d *drawing) path(path vg.Path) {
	for i := range path {
		switch comp := &path[i]; comp.Type {
		case vg.MoveComp:
			d.moveTo(comp.Pos)
		case vg.LineComp:
			d.lineTo(comp.Pos)
		case vg.ArcComp:
			d.arcTo(comp)
		case vg.CloseComp:
			d.close()
		default:
			d.refuse("a curve")
		}
	}
}

// strokeLine draws a line through points. It does what the library's
// StrokeLines does, without a path of 72 bytes a point.
func (d *drawing) strokeLine(line draw.LineStyle, points ...vg.Point) {
	d.startStroke(line)
	for i, p := range points {
		if i == 0 {
			d.moveTo(p)
		} else {
			d.lineTo(p)
		}
	}
}

// startStroke makes ready for a line that is drawn with moveTo and lineTo.
func (d *drawing) startStroke(line draw.LineStyle) {
	d.SetColor(line.Color)
	d.SetLineWidth(line.Width)
	d.SetLineDash(line.Dashes, line.DashOffs)
	d.begin(d.pen)
}

// fillRectangle paints a rectangle.
func (d *drawing) fillRectangle(k *ink, left, bottom, right, top vg.Length) {
	d.begin(style{what: filled, ink: k})
	d.moveTo(vg.Point{X: left, Y: bottom})
	d.lineTo(vg.Point{X: right, Y: bottom})
	d.lineTo(vg.Point{X: right, Y: top})
	d.lineTo(vg.Point{X: left, Y: top})
	d.close()
}

// The following make the drawing a vg.Canvas.

// SetColor takes an ink.
func (d *drawing) SetColor(c color.Color) {
	k, ok := c.(*ink)
	if !ok {
		d.refuse("in a colour that is not an ink")
		return
	}
	d.pen.ink = k
}

// SetLineWidth sets the width of strokes.
func (d *drawing) SetLineWidth(width vg.Length) { d.pen.width = d.tenths(width) }

// SetLineDash takes no dashes or a dash and a gap.
func (d *drawing) SetLineDash(pattern []vg.Length, offset vg.Length) {
	d.pen.dashes = [2]int{}
	if len(pattern) == 0 {
		return
	}
	if len(pattern) != 2 || offset != 0 {
		d.refuse("dashes other than a dash and a gap from the line's start")
		return
	}
	d.pen.dashes = [2]int{d.tenths(pattern[0]), d.tenths(pattern[1])}
}

// Stroke draws along a path; a pen without width draws nothing.
func (d *drawing) Stroke(path vg.Path) {
	if d.pen.width > 0 {
		d.begin(d.pen)
		d.path(path)
	}
}

// Fill paints the inside of a path.
func (d *drawing) Fill(path vg.Path) {
	d.begin(style{what: filled, ink: d.pen.ink})
	d.path(path)
}

// The library transforms a canvas and fills strings only through its own
// handlers of text, and images only when it is given some: none of it is in a
// drawing of the review.

// Push is refused, as are the methods below.
func (d *drawing) Push() { d.refuse("with a saved state") }

// Pop undoes Push.
func (d *drawing) Pop() { d.refuse("with a saved state") }

// Rotate would turn what follows.
func (d *drawing) Rotate(float64) { d.refuse("turned") }

// Translate would move what follows.
func (d *drawing) Translate(vg.Point) { d.refuse("moved") }

// Scale would stretch what follows.
func (d *drawing) Scale(float64, float64) { d.refuse("stretched") }

// FillString would write without the alignment that Draw has.
func (d *drawing) FillString(font.Face, vg.Point, string) { d.refuse("a bare string") }

// DrawImage would place a picture.
func (d *drawing) DrawImage(vg.Rectangle, image.Image) { d.refuse("an image") }
