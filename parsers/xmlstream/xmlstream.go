// Package xmlstream is the guarded way into the XML formats: a stream of
// tokens that stays within limits, expands no entity but the standard five,
// and closes a document that was cut short, so that the readers behind it see
// well-formed XML whatever the bytes.
package xmlstream

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"

	"boutwise/parsers/recording"
)

// Reader yields the raw tokens of one document: names keep their prefixes, and
// [xml.NewTokenDecoder] on top resolves namespaces.
type Reader struct {
	dec    *xml.Decoder
	format recording.Format
	lim    recording.Limits

	open []xml.Name // elements not yet closed, outermost first

	cut     bool   // the document ended early and is being closed
	cutLine int    // where
	cutWhy  string // what stood there
	failed  error  // a limit was passed; final
}

// New reads data as one document of the format named, which errors repeat.
func New(data []byte, format recording.Format, lim recording.Limits) *Reader {
	return &Reader{dec: newDecoder(data), format: format, lim: lim.WithDefaults()}
}

// newDecoder gives the tokenizer for bytes in whatever charset.
func newDecoder(data []byte) *xml.Decoder {
	dec := xml.NewDecoder(&source{data: decodeUTF16(data)})
	dec.CharsetReader = charsetReader
	// Not strict: a bare "&" in a title, or an entity that the document type
	// declares, stays as it stands instead of ending the document. No entity
	// is ever expanded, so a chain of them cannot grow. That tags pair up is
	// checked below.
	dec.Strict = false
	return dec
}

// Token gives the next token; it implements [xml.TokenReader]. After the first
// syntax error, a cut tail included, it closes the open elements innermost
// first and ends; [Reader.Salvage] then says so. An error other than io.EOF is
// a [*recording.ParseError] for a limit that was passed.
func (r *Reader) Token() (xml.Token, error) {
	if r.failed != nil {
		return nil, r.failed
	}
	if r.cut {
		return r.closeOne()
	}
	tok, err := r.dec.RawToken()
	if err != nil {
		if err != io.EOF || len(r.open) > 0 {
			r.markCut(err)
		}
		return r.closeOne()
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
			r.markCut(fmt.Errorf("</%s> closes no open element", t.Name.Local))
			return r.closeOne()
		}
		r.open = r.open[:len(r.open)-1]
	}
	return tok, nil
}

// markCut notes where reading stopped and why.
func (r *Reader) markCut(err error) {
	r.cut = true
	r.cutLine = r.Line()
	var syntax *xml.SyntaxError
	isSyntax := errors.As(err, &syntax)
	switch {
	case isSyntax && syntax.Msg == "unexpected EOF", errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		r.cutWhy = "the file ends early"
	case isSyntax:
		r.cutWhy = syntax.Msg
	default:
		r.cutWhy = err.Error()
	}
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
		Format: r.format, Offset: r.dec.InputOffset(), Line: r.Line(),
		Reason: recording.ErrTooLarge, Detail: detail,
		Remedy: "raise the limit if this really is one workout",
	}
	return r.failed
}

// Line is the line that reading has come to, from 1.
func (r *Reader) Line() int {
	line, _ := r.dec.InputPos()
	return line
}

// Cut tells whether the document was damaged or ended early.
func (r *Reader) Cut() bool { return r.cut }

// Salvage lists in plain words what was wrong with the document; nil when it
// was whole.
func (r *Reader) Salvage() []string {
	if !r.cut {
		return nil
	}
	return []string{fmt.Sprintf("XML damaged at line %d (%s): read up to there", r.cutLine, r.cutWhy)}
}

// Refuse is the error for a document that yields nothing: damage when there
// was some, else the reason and detail given.
func (r *Reader) Refuse(reason error, detail string) error {
	err := &recording.ParseError{Format: r.format, Offset: -1, Reason: reason, Detail: detail}
	if r.cut {
		err.Line, err.Reason, err.Detail = r.cutLine, recording.ErrDamaged, r.cutWhy
		err.Remedy = "export it again from the device or its service"
	}
	return err
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
