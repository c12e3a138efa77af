package xmlstream

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"slices"

	"boutwise/parsers/recording"
)

// damage is a place where the document broke off.
type damage struct {
	line int
	why  string
}

// told words it for the salvage.
func (d damage) told(outcome string) string {
	return fmt.Sprintf("XML damaged at line %d (%s): %s", d.line, d.why, outcome)
}

// maxResumed bounds how often reading goes on behind damage. A disk's lost
// blocks are a handful; each costs a tokenizer.
const maxResumed = 1000

// parts are the elements at which reading goes on, by format and what they
// stand in: the many small ones that each tell by themselves when they were,
// and what holds them.
var parts = map[recording.Format]map[string]string{
	recording.GPX: {"gpx": "trk", "trk": "trkseg", "trkseg": "trkpt"},
	recording.TCX: {"Activities": "Activity", "Activity": "Lap", "Lap": "Track", "Track": "Trackpoint"},
}

// breakOff takes the damage that reading met: it goes on at the next part of the
// innermost element that has any, or at that element's end, whichever comes
// first, or ends the document.
func (r *Reader) breakOff(err error) {
	met := damage{r.src.line, reason(err)}
	r.broken = true
	at, part := r.openWhole()
	if part == "" || r.resumed >= maxResumed || !r.src.find(part, "/"+written(r.open[at])) {
		r.cut, r.end = true, met
		return
	}
	if r.resumed++; r.resumed == 1 {
		r.first = met
	}
	// A tokenizer never recovers from an error of its own.
	r.keep, r.dec = at+1, newDecoder(r.src)
}

// openWhole finds the innermost open element that has parts, and their name as
// it is written with the same prefix; "" when there is none.
func (r *Reader) openWhole() (at int, part string) {
	for at, name := range slices.Backward(r.open) {
		if part, ok := parts[r.format][name.Local]; ok {
			return at, written(xml.Name{Space: name.Space, Local: part})
		}
	}
	return 0, ""
}

// written gives a raw name as it is written.
func written(name xml.Name) string {
	if name.Space == "" {
		return name.Local
	}
	return name.Space + ":" + name.Local
}

// reason words why the tokenizer stopped.
func reason(err error) string {
	var syntax *xml.SyntaxError
	isSyntax := errors.As(err, &syntax)
	switch {
	case isSyntax && syntax.Msg == "unexpected EOF", errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		return "the file ends early"
	case isSyntax:
		return syntax.Msg
	}
	return err.Error()
}

// find passes over everything up to the next tag that begins with one of the
// names given; false when there is none.
func (s *source) find(names ...string) bool {
	for {
		c, err := s.ReadByte()
		if err != nil {
			return false
		}
		if c == '<' && slices.ContainsFunc(names, s.follows) {
			s.pending = []byte{'<'}
			return true
		}
	}
}

// follows tells whether a name comes next, and not as the beginning of a longer
// one.
func (s *source) follows(name string) bool {
	ahead, _ := s.raw.Peek(len(name) + 1) // fewer at the end of the document
	return len(ahead) > len(name) && string(ahead[:len(name)]) == name && isNameEnd(ahead[len(name)])
}

// isNameEnd tells whether a byte ends the name of an element.
func isNameEnd(c byte) bool {
	return c == '>' || c == '/' || c == ' ' || c == '\t' || c == '\n' || c == '\r'
}
