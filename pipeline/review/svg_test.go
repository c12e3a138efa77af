package review

import (
	"encoding/xml"
	"html/template"
	"image"
	"image/color"
	"io"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// elements reads a drawing as XML and returns all its elements.
func elements(t *testing.T, svg template.HTML) []xml.StartElement {
	t.Helper()
	var list []xml.StartElement
	for decoder := xml.NewDecoder(strings.NewReader(string(svg))); ; {
		token, err := decoder.Token()
		if err == io.EOF {
			return list
		}
		if err != nil {
			t.Fatalf("not XML: %v\n%s", err, svg)
		}
		if start, ok := token.(xml.StartElement); ok {
			list = append(list, start.Copy())
		}
	}
}

func attribute(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

// partsOf counts the separate parts of the paths whose style holds a sign.
func partsOf(t *testing.T, svg template.HTML, sign string) int {
	t.Helper()
	parts := 0
	for _, e := range elements(t, svg) {
		if e.Name.Local == "path" && strings.Contains(attribute(e, "style")+";", sign) {
			parts += strings.Count(attribute(e, "d"), "M")
		}
	}
	return parts
}

// drawn is what a 20 by 10 points drawing holds.
func drawn(t *testing.T, paint func(d *drawing)) string {
	t.Helper()
	svg, err := drawSVG(20, 10, paint)
	if err != nil {
		t.Fatal(err)
	}
	elements(t, svg)
	_, body, _ := strings.Cut(string(svg), ">")
	return strings.TrimSuffix(body, "</svg>")
}

// The expected paths are written by hand from SVG's path grammar: a capital is
// a place, a small letter a step; y grows downwards.
func TestDrawing(t *testing.T) {
	pen := stroke(&inkOutput, 0.8)
	for _, c := range []struct {
		name  string
		paint func(d *drawing)
		want  string
	}{
		{"a line", func(d *drawing) {
			d.strokeLine(pen, vg.Point{X: 1, Y: 9}, vg.Point{X: 2.04, Y: 8}, vg.Point{X: 1, Y: 8.5}, vg.Point{X: 2, Y: 8.5})
		}, `<path style="stroke:var(--output);stroke-width:8" d="M10 10l10 10-10-5 10 0"/>`},
		{"rounding does not add up", func(d *drawing) {
			points := make([]vg.Point, 11)
			for i := range points {
				points[i].X = vg.Length(i) * 0.16
			}
			d.strokeLine(pen, points...)
		}, `<path style="stroke:var(--output);stroke-width:8" d="M0 100l2 0 1 0 2 0 1 0 2 0 2 0 1 0 2 0 1 0 2 0"/>`},
		{"one style, one element", func(d *drawing) {
			c := d.canvas()
			c.StrokeLine2(pen, 0, 0, 1, 0)
			c.StrokeLine2(pen, 0, 5, 1, 5)
			c.StrokeLine2(dashed(&inkOutput, 0.8, 3, 1.5), 0, 7, 1, 7)
		}, `<path style="stroke:var(--output);stroke-width:8" d="M0 100l10 0M0 50l10 0"/>` +
			`<path style="stroke:var(--output);stroke-width:8;stroke-dasharray:30 15" d="M0 30l10 0"/>`},
		{"a rectangle", func(d *drawing) { d.fillRectangle(&inkBout, 2, 0, 6, 10) },
			`<path style="fill:var(--bout)" d="M20 100l40 0 0-100-40 0z"/>`},
		{"a circle", func(d *drawing) {
			c := d.canvas()
			c.DrawGlyph(draw.GlyphStyle{Color: &inkOutput, Radius: 3, Shape: draw.CircleGlyph{}}, vg.Point{X: 10, Y: 5})
		}, `<path style="fill:var(--output)" d="M130 50a30 30 0 0 0-60 0a30 30 0 0 0 60 0z"/>`},
		{"an arc with the clock, after a close", func(d *drawing) {
			var path vg.Path
			path.Move(vg.Point{X: 5, Y: 5})
			path.Line(vg.Point{X: 6, Y: 5})
			path.Close()
			path.Arc(vg.Point{X: 10, Y: 5}, 3, math.Pi, -math.Pi)
			d.Stroke(path)
		}, `<path style="stroke:var(--text);stroke-width:10" d="M50 50l10 0zl20 0a30 30 0 0 1 30-30a30 30 0 0 1 30 30"/>`},
		{"a pen without width", func(d *drawing) {
			c := d.canvas()
			c.StrokeLine2(stroke(&inkOutput, 0), 0, 0, 1, 0)
		}, ``},
		{"text", func(d *drawing) {
			c := d.canvas()
			c.FillText(d.lettering(&inkText, draw.XRight, draw.YBottom), vg.Point{X: 5, Y: 5}, "a<b & c")
			up := d.lettering(&inkText, draw.XRight, draw.YBottom)
			up.Rotation = math.Pi / 2
			c.FillText(up, vg.Point{X: 5, Y: 5}, "up")
		}, `<g style="fill:var(--text);font-size:90px;text-anchor:end"><text x="50" y="48">a&lt;b &amp; c</text>` +
			`<text x="48" y="50" transform="rotate(-90 48 50)">up</text></g>`},
	} {
		if got := drawn(t, c.paint); got != c.want {
			t.Errorf("%s:\ngot  %s\nwant %s", c.name, got, c.want)
		}
	}
}

// What would come out wrong is an error and no drawing.
func TestDrawingRefuses(t *testing.T) {
	curve := vg.Path{{Type: vg.MoveComp}}
	curve.QuadTo(vg.Point{X: 1}, vg.Point{X: 2})
	for what, paint := range map[string]func(d *drawing){
		"not finite":       func(d *drawing) { d.moveTo(vg.Point{X: vg.Length(nan)}) },
		"far outside":      func(d *drawing) { d.lineTo(vg.Point{X: 1e9}) },
		"not an ink":       func(d *drawing) { d.SetColor(color.Black) },
		"a curve":          func(d *drawing) { d.Stroke(curve) },
		"dashes other":     func(d *drawing) { d.SetLineDash([]vg.Length{1, 2, 3}, 0) },
		"a saved state":    func(d *drawing) { d.Push() },
		"with a saved":     func(d *drawing) { d.Pop() },
		"turned":           func(d *drawing) { d.Rotate(1) },
		"moved":            func(d *drawing) { d.Translate(vg.Point{X: 1}) },
		"stretched":        func(d *drawing) { d.Scale(2, 2) },
		"an image":         func(d *drawing) { d.DrawImage(vg.Rectangle{}, image.NewGray(image.Rect(0, 0, 1, 1))) },
		"a bare string":    func(d *drawing) { d.FillString(font.Face{}, vg.Point{}, "x") },
		"at a coordinate ": func(d *drawing) { d.SetLineWidth(vg.Length(math.Inf(1))) },
	} {
		if svg, err := drawSVG(10, 10, paint); err == nil || !strings.Contains(err.Error(), what) || svg != "" {
			t.Errorf("%s: got %q and error %v", what, svg, err)
		}
	}
}

// Every ink reaches the drawing as its custom property, and no colour as a
// number.
func TestInksReachTheDrawing(t *testing.T) {
	for _, k := range inks() {
		got := drawn(t, func(d *drawing) { d.strokeLine(stroke(&k, 1), vg.Point{}, vg.Point{X: 5, Y: 5}) })
		if !strings.Contains(got, `"stroke:`+k.variable()) || strings.Contains(got, "#") {
			t.Errorf("ink %s: %s", k.name, got)
		}
	}
}

// All drawings of the pages are XML, name no font, hold no colour as a number
// and nothing that is not a number.
func TestDrawingsOfPages(t *testing.T) {
	count := 0
	for name, text := range site(t) {
		for {
			at := strings.Index(text, "<svg")
			if at < 0 {
				break
			}
			end := at + strings.Index(text[at:], "</svg>") + len("</svg>")
			svg := text[at:end]
			text = text[end:]
			count++
			elements(t, template.HTML(svg))
			for _, sign := range []string{"font-family", ":#", "NaN", "Inf"} {
				if strings.Contains(svg, sign) {
					t.Errorf("%s: a drawing holds %q", name, sign)
				}
			}
		}
	}
	if count < 10 {
		t.Errorf("only %d drawings were looked at", count)
	}
}

// An ink is a colour to the library: the one of light ground.
func TestInkIsAColour(t *testing.T) {
	want := color.NRGBA{R: 0x9c, G: 0x2f, B: 0x3c, A: 0xff}
	if got := color.NRGBAModel.Convert(&inkHeart); got != want {
		t.Errorf("got %v, want %v", got, want)
	}
}

// Widths are those of the font that the measures come from; Liberation Sans
// has the widths of the metric-compatible PostScript fonts: a digit is 556 and
// a space 278 thousandths of its size.
func TestAdvance(t *testing.T) {
	if got := advance("10 0", 9).Points(); math.Abs(got-9*(3*0.556+0.278)) > 0.01 {
		t.Errorf("got %v", got)
	}
	if got, want := advance("−1", 9), advance("01", 9); got != want {
		t.Errorf("a character beyond ASCII: got %v, want a digit's width", got)
	}
}
