// Package xmlstream is the guarded way into the XML formats: a stream of
// tokens that stays within limits, expands no entity but the standard five,
// replaces characters that are none, goes on behind damage at the next point,
// track or lap, and closes a document that was cut short, so that the readers
// behind it see well-formed XML whatever the bytes.
package xmlstream

import (
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"boutwise/parsers/recording"
)

// Reader yields the raw tokens of one document: names keep their prefixes, and
// [xml.NewTokenDecoder] on top resolves namespaces.
type Reader struct {
	src    *source
	dec    *xml.Decoder
	format recording.Format
	lim    recording.Limits

	open []xml.Name // elements not yet closed, outermost first
	keep int        // how many of them stay open behind the damage just met

	broken  bool   // what is being closed broke off
	resumed int    // times that reading went on behind damage
	first   damage // of these
	cut     bool   // the document ended early and is being closed
	end     damage // there

	unread int   // values that are no numbers
	failed error // a limit was passed; final
}

// New reads data as one document of the format named, which errors repeat.
func New(data []byte, format recording.Format, lim recording.Limits) *Reader {
	src := newSource(data)
	return &Reader{src: src, dec: newDecoder(src), format: format, lim: lim.WithDefaults()}
}

// newDecoder gives the tokenizer for a document.
func newDecoder(src *source) *xml.Decoder {
	dec := xml.NewDecoder(src)
	dec.CharsetReader = src.declared
	// Not strict: a bare "&" in a title, or an entity that the document type
	// declares, stays as it stands instead of ending the document. No entity
	// is ever expanded, so a chain of them cannot grow. That tags pair up is
	// checked below.
	dec.Strict = false
	return dec
}

// Token gives the next token; it implements [xml.TokenReader]. At a syntax error
// it closes the elements that broke off, innermost first, and goes on at the
// next point, track or lap, or, a cut tail included, closes all and ends;
// [Reader.Salvage] then says so. An error other than io.EOF is a
// [*recording.ParseError] for a limit that was passed.
func (r *Reader) Token() (xml.Token, error) {
	if r.failed != nil {
		return nil, r.failed
	}
	if r.cut || len(r.open) > r.keep && r.broken {
		return r.closeOne()
	}
	r.broken = false
	tok, err := r.dec.RawToken()
	if err == io.EOF && len(r.open) == 0 {
		return nil, err
	}
	if err != nil {
		r.breakOff(err)
		return r.Token()
	}
	switch t := tok.(type) {
	case xml.StartElement:
		if len(r.open) >= r.lim.MaxXMLDepth {
			return nil, r.Fail(fmt.Sprintf("elements nest deeper than %d", r.lim.MaxXMLDepth))
		}
		r.open = append(r.open, t.Name)
	case xml.EndElement:
		// A closing tag that closes nothing, or something else: what follows
		// cannot be trusted to stand where it seems to.
		if n := len(r.open); n == 0 || r.open[n-1] != t.Name {
			r.breakOff(fmt.Errorf("</%s> closes no open element", t.Name.Local))
			return r.Token()
		}
		r.open = r.open[:len(r.open)-1]
	}
	return tok, nil
}

// closeOne closes the innermost open element.
func (r *Reader) closeOne() (xml.Token, error) {
	n := len(r.open)
	if n == 0 {
		return nil, io.EOF
	}
	name := r.open[n-1]
	r.open = r.open[:n-1]
	return xml.EndElement{Name: name}, nil
}

// Fail refuses the document at this place for passing a limit; every later
// call of [Reader.Token] gives the same error.
func (r *Reader) Fail(detail string) error {
	r.failed = &recording.ParseError{
		Format: r.format, Offset: -1, Line: r.src.line,
		Reason: recording.ErrTooLarge, Detail: detail,
		Remedy: "raise the limit if this really is one workout",
	}
	return r.failed
}

// Damaged tells whether the document was damaged or ended early.
func (r *Reader) Damaged() bool { return r.cut || r.resumed > 0 }

// Broken tells whether the element that was closed last broke off in damage.
func (r *Reader) Broken() bool { return r.broken }

// Salvage lists in plain words what was wrong with the document; nil when it
// was whole.
func (r *Reader) Salvage() (notes []string) {
	switch {
	case r.resumed == 1:
		notes = append(notes, r.first.told("went on behind it"))
	case r.resumed > 1:
		notes = append(notes, r.first.told(fmt.Sprintf("went on behind it, %d times in all", r.resumed)))
	}
	if r.cut {
		notes = append(notes, r.end.told("read up to there"))
	}
	if r.src.repaired {
		notes = append(notes, "some characters were not valid and were replaced")
	}
	switch {
	case r.unread == 1:
		notes = append(notes, "1 value could not be read as a number")
	case r.unread > 1:
		notes = append(notes, fmt.Sprintf("%d values could not be read as numbers", r.unread))
	}
	return notes
}

// Refuse is the error for a document that yields nothing: damage when there
// was some, else the reason and detail given.
func (r *Reader) Refuse(reason error, detail string) error {
	err := &recording.ParseError{Format: r.format, Offset: -1, Reason: reason, Detail: detail}
	if r.Damaged() {
		met := r.end
		if r.resumed > 0 {
			met = r.first
		}
		err.Line, err.Reason, err.Detail = met.line, recording.ErrDamaged, met.why
		err.Remedy = "export it again from the device or its service"
	}
	return err
}

// Number reads a finite number as [Number] does. Text that is none gives NaN
// and is counted, unless it is blank or says itself that it is not a number.
// So does a number in which the document broke off: digits may be missing.
func (r *Reader) Number(text string) float64 {
	if r.broken {
		return math.NaN()
	}
	v := Number(text)
	if text = strings.TrimSpace(text); math.IsNaN(v) && text != "" && !strings.EqualFold(text, "nan") {
		r.unread++
	}
	return v
}

// Time reads a time as [Time] does, but none in which the document broke off:
// its offset may be missing.
func (r *Reader) Time(text string) (t time.Time, ok bool) {
	if r.broken {
		return time.Time{}, false
	}
	return Time(text)
}

// Text gives the text up to the end of the element whose start was the last
// token of the stream, and consumes it. Elements nested in it are skipped with
// their text.
func Text(stream xml.TokenReader) (string, error) {
	var text []byte
	for depth := 0; ; {
		tok, err := stream.Token()
		if err != nil {
			return "", err
		}
		switch t := tok.(type) {
		case xml.StartElement:
			depth++
		case xml.EndElement:
			if depth == 0 {
				return string(text), nil
			}
			depth--
		case xml.CharData:
			if depth == 0 {
				text = append(text, t...)
			}
		}
	}
}

// Skip consumes the element whose start was the last token of the stream.
func Skip(stream xml.TokenReader) error {
	_, err := Text(stream)
	return err
}

// Attribute gives an element's attribute, whatever its prefix; "" when absent.
func Attribute(t xml.StartElement, local string) string {
	for _, a := range t.Attr {
		if a.Name.Local == local {
			return a.Value
		}
	}
	return ""
}
