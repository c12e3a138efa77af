package gpx

import (
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"time"

	"boutwise/parsers/recording"
	"boutwise/parsers/xmlstream"
)

// maxExtensions is the most elements inside one track point's extensions that
// are kept. Writers known to us use fewer than 20.
const maxExtensions = 48

// point is what the filter reads of a track point itself, because gpxgo
// would lose it.
type point struct {
	ms    int64 // Unix milliseconds
	timed bool  // ms is known

	utcOffset *time.Duration // of the time as written; nil for UTC

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
	where []string    // local names of the open elements that were passed on

	creator    string
	points     []point // one a track point, in the order of the document
	marks      int     // tracks and segments
	extensions int     // elements in this point's extensions so far
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
			if n := len(f.where); n > 0 {
				f.where = f.where[:n-1]
			}
			return t, nil
		case xml.CharData:
			// Text counts only in extensions; that of the few other elements
			// is read with their start.
			if f.inExtensions() {
				return t, nil
			}
		}
	}
}

// start passes an element on, rewritten where need be, or skips it whole.
func (f *filter) start(t xml.StartElement) error {
	name := t.Name.Local
	switch parent := f.parent(); {
	case parent == "" && name == "gpx":
		f.creator = xmlstream.Attribute(t, "creator")
		f.pass(t)
	case parent == "gpx" && name == "trk", parent == "trk" && name == "trkseg":
		if f.marks++; f.marks > f.lim.MaxMarks {
			return f.in.Fail(fmt.Sprintf("more than %d tracks and segments", f.lim.MaxMarks))
		}
		f.pass(xml.StartElement{Name: t.Name})
	case parent == "trk" && name == "type":
		return f.passText(t, func(string) bool { return true })
	case parent == "trkseg" && name == "trkpt":
		return f.startPoint(t)
	case parent == "trkpt":
		return f.startPointChild(t)
	case f.inExtensions() && f.extensions < maxExtensions:
		f.extensions++
		f.pass(xml.StartElement{Name: t.Name})
	default:
		return xmlstream.Skip(f.in)
	}
	return nil
}

// startPoint passes a track point on with its position, if it has one.
func (f *filter) startPoint(t xml.StartElement) error {
	if len(f.points) >= f.lim.MaxSamples {
		return f.in.Fail(fmt.Sprintf("more than %d track points", f.lim.MaxSamples))
	}
	lat, lon := xmlstream.Attribute(t, "lat"), xmlstream.Attribute(t, "lon")
	placed := math.Abs(xmlstream.Number(lat)) <= 90 && math.Abs(xmlstream.Number(lon)) <= 180
	f.points = append(f.points, point{placed: placed})
	f.extensions = 0
	out := xml.StartElement{Name: t.Name}
	if placed {
		out.Attr = []xml.Attr{
			{Name: xml.Name{Local: "lat"}, Value: lat},
			{Name: xml.Name{Local: "lon"}, Value: lon},
		}
	}
	f.pass(out)
	return nil
}

// startPointChild handles what stands directly in a track point.
func (f *filter) startPointChild(t xml.StartElement) error {
	switch t.Name.Local {
	case "extensions":
		f.pass(xml.StartElement{Name: t.Name})
		return nil
	case "ele":
		return f.passText(t, func(s string) bool { return !math.IsNaN(xmlstream.Number(s)) })
	case "time":
		text, err := xmlstream.Text(f.in)
		if t, ok := xmlstream.Time(text); ok {
			p := &f.points[len(f.points)-1]
			p.ms, p.timed, p.utcOffset = t.UnixMilli(), true, xmlstream.UTCOffset(t)
		}
		return err
	default:
		// GPX 1.0 has speed here, and knows no extensions element: what other
		// writers add stands here too. gpxgo reads neither, so it goes where
		// GPX 1.1 would have it.
		if f.extensions++; f.extensions > maxExtensions {
			return xmlstream.Skip(f.in)
		}
		wrapper := xml.Name{Local: "extensions"}
		f.queue = append(f.queue, xml.StartElement{Name: wrapper})
		err := f.passText(t, func(string) bool { return true })
		f.queue = append(f.queue, xml.EndElement{Name: wrapper})
		return err
	}
}

// passText passes an element on with its text, if the text is good.
func (f *filter) passText(t xml.StartElement, good func(string) bool) error {
	text, err := xmlstream.Text(f.in)
	if err == nil && good(text) {
		f.queue = append(f.queue,
			xml.StartElement{Name: t.Name}, xml.CharData(text), xml.EndElement{Name: t.Name})
	}
	return err
}

// pass queues the start of an element and enters it.
func (f *filter) pass(t xml.StartElement) {
	f.queue = append(f.queue, t)
	f.where = append(f.where, t.Name.Local)
}

// parent is the innermost element that was passed on; "" before the root.
func (f *filter) parent() string {
	if len(f.where) == 0 {
		return ""
	}
	return f.where[len(f.where)-1]
}

// inExtensions tells whether the filter stands in a track point's extensions:
// nothing else lies that deep (gpx, trk, trkseg, trkpt, extensions).
func (f *filter) inExtensions() bool { return len(f.where) >= 5 }

// untimed counts the track points without a time. The one that a damaged
// document ends in is not counted.
func (f *filter) untimed() (n int) {
	for i := range f.points {
		if !f.points[i].timed && !(f.in.Cut() && i == len(f.points)-1) {
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
