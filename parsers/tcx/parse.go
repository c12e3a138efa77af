// Package tcx reads TCX version 2 with the activity extension version 2.
//
// Elements are matched by namespace and local name, never by prefix. A
// document without namespaces, or with prefixes that it forgot to declare, is
// read as if they were right, since some writers leave them out. A multi-sport
// session becomes one recording a leg, its transitions included; activities
// that are one outing become one recording ([recording.Join]).
package tcx

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"

	"boutwise/parsers/recording"
	"boutwise/parsers/xmlstream"
)

// The namespaces that are read. Both schemas are at version 2; the first
// version of the database schema names the same elements.
const (
	databaseNS   = "http://www.garmin.com/xmlschemas/TrainingCenterDatabase/v"
	extensionNS  = "http://www.garmin.com/xmlschemas/ActivityExtension/v"
	rootElement  = "TrainingCenterDatabase"
	multisport   = "MultiSportSession"
	transitional = "Transition"
)

// Parse decodes one TCX document into one recording an activity or leg that
// has samples.
func Parse(data []byte, lim recording.Limits) ([]*recording.Recording, error) {
	lim = lim.WithDefaults()
	// Limits, charsets and damage are dealt with below the namespaces, which
	// the standard decoder resolves on top.
	in := xmlstream.New(data, recording.TCX, lim)
	r := &reader{in: in, dec: xml.NewTokenDecoder(in), lim: lim}
	if err := r.document(); err != nil {
		return nil, err
	}
	// The most telling reason first: no such document, nothing that was done,
	// or nothing with a time.
	if len(r.recs) == 0 {
		switch {
		case !r.rooted:
			return nil, in.Refuse(recording.ErrDamaged, "no "+rootElement+" element")
		case r.activities == 0:
			return nil, in.Refuse(recording.ErrNoActivity, "courses or workouts only, no activity")
		}
		return nil, in.Refuse(recording.ErrNoSamples, r.withoutSamples())
	}
	r.recs = recording.Join(r.recs)
	// One document has one set of troubles, which every leg of it shares.
	salvage := in.Salvage()
	if r.untimed > 0 {
		salvage = append(salvage, fmt.Sprintf("%d track points without a time were left out", r.untimed))
	}
	for leg, rec := range r.recs {
		rec.Leg = leg
		rec.Salvage, rec.Damaged = salvage, in.Damaged()
	}
	return r.recs, nil
}

// withoutSamples says why activities gave no sample. One that was typed in by
// hand, or written by equipment that keeps no more than totals, has laps alone.
func (r *reader) withoutSamples() string {
	if r.samples == 0 {
		return "the activity holds no track points"
	}
	return "no track point has a time"
}

// reader walks the document from the root down, one method a kind of element.
type reader struct {
	in  *xmlstream.Reader
	dec *xml.Decoder // in, with namespaces resolved
	lim recording.Limits

	rooted     bool // the root element was met
	recs       []*recording.Recording
	activities int // activities met, with or without samples
	samples    int // track points over all activities
	untimed    int // track points without a time
	marks      int // activities, laps and tracks
}

// document reads everything.
func (r *reader) document() error {
	for {
		tok, err := r.dec.Token()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return r.located(err)
		}
		// Whatever stands before the root, a document type for one, is passed over.
		// A root of another namespace is still tried: some writers invent one.
		if t, ok := tok.(xml.StartElement); ok && t.Name.Local == rootElement {
			r.rooted = true
			if err := r.located(r.children(r.container)); err != nil {
				return err
			}
		}
	}
}

// located makes sure that an error says where. The stream's own do; what the
// namespace layer adds cannot come up, since the stream is well formed, but
// would be damage.
func (r *reader) located(err error) error {
	var located *recording.ParseError
	if err == nil || errors.As(err, &located) {
		return err
	}
	return r.in.Refuse(recording.ErrDamaged, err.Error())
}

// children calls visit at the start of each element inside the one whose start
// was read last; visit consumes the element. Elements of other namespaces are
// skipped.
func (r *reader) children(visit func(xml.StartElement) error) error {
	for {
		tok, err := r.dec.Token()
		if err != nil {
			return err
		}
		switch t := tok.(type) {
		case xml.EndElement:
			return nil
		case xml.StartElement:
			// A vendor's own extension may use our names for other things.
			step := visit
			if !known(t.Name.Space) {
				step = r.skip
			}
			if err := step(t); err != nil {
				return err
			}
		}
	}
}

// known tells whether a namespace is one of ours, or missing: none at all, or
// a prefix that was never declared and so stands for itself.
func known(space string) bool {
	return !strings.Contains(space, ":") ||
		strings.HasPrefix(space, databaseNS) || strings.HasPrefix(space, extensionNS)
}

// skip passes over an element.
func (r *reader) skip(xml.StartElement) error { return xmlstream.Skip(r.dec) }

// number reads an element's text into a value; NaN when it is no number.
func (r *reader) number(into *float64) error {
	text, err := xmlstream.Text(r.dec)
	// Text that is no number reads as missing; the rest of the point is sound.
	*into = r.in.Number(text)
	return err
}

// text reads an element's text.
func (r *reader) text(into *string) error {
	text, err := xmlstream.Text(r.dec)
	*into = strings.TrimSpace(text)
	return err
}

// value reads the Value element that heart rates are wrapped in.
func (r *reader) value(into *float64) error {
	return r.children(func(t xml.StartElement) error {
		if t.Name.Local == "Value" {
			return r.number(into)
		}
		return r.skip(t)
	})
}

// container reads an element that only groups activities: Activities, and the
// parts of a multi-sport session.
func (r *reader) container(t xml.StartElement) error {
	switch t.Name.Local {
	case "Activities", multisport, "FirstSport", "NextSport":
		return r.children(r.container)
	case "Activity":
		// The schema has Running, Biking and Other; writers are freer than that.
		sport, indoor := recording.SportFromText(xmlstream.Attribute(t, "Sport"))
		return r.activity(sport, indoor, r.children)
	case transitional:
		// A transition is one lap with the stature of an activity.
		return r.activity(recording.Transition, false, func(visit func(xml.StartElement) error) error {
			t.Name.Local = "Lap"
			return visit(t)
		})
	}
	return r.skip(t)
}

// mark counts an activity, lap or track against the limit.
func (r *reader) mark() error {
	// Elements without content are cheap to write and dear to keep.
	if r.marks++; r.marks > r.lim.MaxMarks {
		return r.in.Fail(fmt.Sprintf("more than %d activities, laps and tracks", r.lim.MaxMarks))
	}
	return nil
}
