package gpx

import (
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"boutwise/parsers/recording"
	"boutwise/parsers/xmlstream"
)

// point is what the filter reads of a track point itself, because gpxgo
// would lose it.
type point struct {
	ms    int64 // Unix milliseconds
	timed bool  // ms is known

	utcOffset *time.Duration // of the time as written; nil for UTC

	broken bool // damage ended it

	placed bool // latitude and longitude are both numbers in range
}

// filter stands between the token stream and gpxgo. It passes on what is read
// from a GPX document and nothing else, so that neither waypoints nor notes
// cost memory; it drops numbers that are none, over which gpxgo would give up
// the whole document; and it reads the times, of which gpxgo cuts the fraction
// of a second and ignores the offset from UTC.
type filter struct {
	in  *xmlstream.Reader
	lim recording.Limits

	queue []xml.Token // to be given out before anything more is read
	open  []element   // outermost first

	creator string
	points  []point         // one a track point, in the order of the document
	marks   int             // tracks and segments
	has     [nChannels]bool // channels that this point has so far
}

// element is an open element that was not skipped whole.
type element struct {
	name   string // local
	passed bool   // gpxgo saw its start and must see its end
}

// Token gives the next token that gpxgo is to see; it implements
// [xml.TokenReader].
func (f *filter) Token() (xml.Token, error) {
	for {
		if len(f.queue) > 0 {
			tok := f.queue[0]
			f.queue = f.queue[1:]
			return tok, nil
		}
		tok, err := f.in.Token()
		if err != nil {
			return nil, err
		}
		switch t := tok.(type) {
		case xml.StartElement:
			if err := f.start(t); err != nil {
				return nil, err
			}
		case xml.EndElement:
			last := f.open[len(f.open)-1]
			if last.name == "trkpt" {
				f.points[len(f.points)-1].broken = f.in.Broken()
			}
			if f.open = f.open[:len(f.open)-1]; last.passed {
				return t, nil
			}
		}
		// Text is read with the start of the few elements where it counts.
	}
}

// start passes an element on, rewritten where need be, enters it, or skips it
// whole.
func (f *filter) start(t xml.StartElement) error {
	name := t.Name.Local
	switch parent := f.parent(); {
	case parent == "" && name == "gpx":
		// The root keeps its attributes: they declare the prefixes.
		f.creator = xmlstream.Attribute(t, "creator")
		f.pass(t)
	case parent == "gpx" && name == "trk", parent == "trk" && name == "trkseg":
		if f.marks++; f.marks > f.lim.MaxMarks {
			return f.in.Fail(fmt.Sprintf("more than %d tracks and segments", f.lim.MaxMarks))
		}
		f.pass(xml.StartElement{Name: t.Name})
	case parent == "trk" && name == "type":
		text, err := xmlstream.Text(f.in)
		f.passText(t, text)
		return err
	case parent == "trkseg" && name == "trkpt":
		return f.startPoint(t)
	case len(f.open) >= pointDepth:
		return f.startInPoint(t, parent)
	default:
		return xmlstream.Skip(f.in)
	}
	return nil
}

// pointDepth is how many elements are open inside a track point: gpx, trk,
// trkseg and trkpt. Nothing else is entered that deep.
const pointDepth = 4

// startPoint passes a track point on with its position, if it has one.
func (f *filter) startPoint(t xml.StartElement) error {
	if len(f.points) >= f.lim.MaxSamples {
		return f.in.Fail(fmt.Sprintf("more than %d track points", f.lim.MaxSamples))
	}
	lat, lon := xmlstream.Attribute(t, "lat"), xmlstream.Attribute(t, "lon")
	latitude, longitude := f.in.Number(lat), f.in.Number(lon)
	placed := math.Abs(latitude) <= 90 && math.Abs(longitude) <= 180
	f.points = append(f.points, point{placed: placed})
	f.has = [nChannels]bool{}
	// Without a position the point stays, for its time and its heart rate; the
	// zeros that gpxgo makes of it are told apart by the placed flag.
	out := xml.StartElement{Name: t.Name}
	if placed {
		out.Attr = []xml.Attr{
			{Name: xml.Name{Local: "lat"}, Value: xmlstream.Point(lat)},
			{Name: xml.Name{Local: "lon"}, Value: xmlstream.Point(lon)},
		}
	}
	f.pass(out)
	return nil
}

// startInPoint handles what stands in a track point, at any depth. Extensions
// stand in an element of that name in GPX 1.1, in the point itself in GPX 1.0,
// which also has speed there, and in elements of the writer's own under either.
// gpxgo gets each value it may need as an extension by itself.
func (f *filter) startInPoint(t xml.StartElement, parent string) error {
	name := t.Name.Local
	switch c, known := channels[strings.ToLower(name)]; {
	case parent == "trkpt" && name == "ele":
		_, err := f.passNumber(t)
		return err
	case parent == "trkpt" && name == "time":
		text, err := xmlstream.Text(f.in)
		if t, ok := f.in.Time(text); ok {
			p := &f.points[len(f.points)-1]
			p.ms, p.timed, p.utcOffset = t.UnixMilli(), true, xmlstream.UTCOffset(t)
		}
		return err
	case known && !f.has[c]:
		// The first number for a channel stands.
		wrapper := xml.Name{Local: "extensions"}
		f.queue = append(f.queue, xml.StartElement{Name: wrapper})
		var err error
		f.has[c], err = f.passNumber(t)
		f.queue = append(f.queue, xml.EndElement{Name: wrapper})
		return err
	default:
		f.open = append(f.open, element{name: name})
		return nil
	}
}

// passNumber passes an element on with its text, if that is a number, and
// tells whether it is.
func (f *filter) passNumber(t xml.StartElement) (ok bool, err error) {
	text, err := xmlstream.Text(f.in)
	if err != nil || math.IsNaN(f.in.Number(text)) {
		return false, err
	}
	// gpxgo reads no decimal comma.
	f.passText(t, xmlstream.Point(text))
	return true, nil
}

// passText queues a whole element.
func (f *filter) passText(t xml.StartElement, text string) {
	f.queue = append(f.queue,
		xml.StartElement{Name: t.Name}, xml.CharData(text), xml.EndElement{Name: t.Name})
}

// pass queues the start of an element and enters it.
func (f *filter) pass(t xml.StartElement) {
	f.queue = append(f.queue, t)
	f.open = append(f.open, element{name: t.Name.Local, passed: true})
}

// parent is the innermost element that was entered; "" before the root.
func (f *filter) parent() string {
	if len(f.open) == 0 {
		return ""
	}
	return f.open[len(f.open)-1].name
}

// untimed counts the track points without a time, but for those that damage
// ended.
func (f *filter) untimed() (n int) {
	for i := range f.points {
		if !f.points[i].timed && !f.points[i].broken {
			n++
		}
	}
	return n
}

var _ xml.TokenReader = (*filter)(nil)

// drain reads the stream to its end, so that damage behind the part that
// gpxgo wanted is seen.
func (f *filter) drain() error {
	for {
		if _, err := f.Token(); err == io.EOF {
			return nil
		} else if err != nil {
			return err
		}
	}
}
