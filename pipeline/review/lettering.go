package review

import (
	"html"
	"math"
	"sync"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// The reader's own font takes the place of any that is named here, so text
// need not be measured to the hair: the browser aligns it by its anchor, and
// the measures below only leave it room.

// How far letters reach from the line they stand on, in their size. With these
// two the library's axes set the middle of a digit (0.72 high) at its tick; the
// font's own would raise it by a point.
const (
	ascent  = 0.98
	descent = 0.21
)

// advances are the widths of the ASCII characters, in their size: those of
// Liberation Sans, which are about those of any browser's plain font.
var advances = sync.OnceValue(func() *[128]float64 {
	face := font.DefaultCache.Lookup(font.Font{Typeface: "Liberation", Variant: "Sans"}, 1)
	var list [128]float64
	for c := ' '; c < 127; c++ {
		list[c] = face.Width(string(c)).Points()
	}
	return &list
})

// advance is the width of a line of text; a character beyond ASCII is taken to
// be as wide as a digit.
func advance(line string, size vg.Length) vg.Length {
	list := advances()
	sum := 0.0
	for _, c := range line {
		if int(c) >= len(list) {
			c = '0'
		}
		sum += list[c]
	}
	return size * vg.Length(sum)
}

// The following make the drawing a text.Handler.

// Cache is the library's cache of fonts.
func (d *drawing) Cache() *font.Cache { return font.DefaultCache }

// Extents are the heights of a line of text.
func (d *drawing) Extents(f font.Font) font.Extents {
	return font.Extents{Ascent: ascent * f.Size, Descent: descent * f.Size, Height: (ascent + descent) * f.Size}
}

// Lines takes any text for a single line. What it returns holds until the next
// call: the library measures text a hundred times a plot.
func (d *drawing) Lines(txt string) []string {
	d.line[0] = txt
	return d.line[:]
}

// Box is a line's room.
func (d *drawing) Box(txt string, f font.Font) (width, height, depth vg.Length) {
	return advance(txt, f.Size), ascent * f.Size, descent * f.Size
}

// Draw writes a line of text, at the height that the library's own handler of
// plain text would write it at.
func (d *drawing) Draw(_ vg.Canvas, txt string, sty text.Style, pt vg.Point) {
	d.SetColor(sty.Color)
	letter := style{what: letters, ink: d.pen.ink, size: d.tenths(sty.Font.Size), anchor: "start"}
	switch sty.XAlign {
	case draw.XCenter:
		letter.anchor = "middle"
	case draw.XRight:
		letter.anchor = "end"
	}
	up := (ascent+descent)*sty.Font.Size*vg.Length(sty.YAlign) + (1-ascent)*sty.Font.Size
	sin, cos := math.Sincos(sty.Rotation)
	x, y := d.at(pt.Add(vg.Point{X: -up * vg.Length(sin), Y: up * vg.Length(cos)}))
	d.begin(letter)
	d.write(`<text x="`)
	d.number(x)
	d.write(`" y="`)
	d.number(y)
	if sty.Rotation != 0 {
		d.write(`" transform="rotate(`)
		d.number(-int(math.Round(sty.Rotation * 180 / math.Pi)))
		d.number(x)
		d.number(y)
		d.write(`)`)
	}
	d.write(`">`)
	d.write(html.EscapeString(txt))
	d.write(`</text>`)
}
