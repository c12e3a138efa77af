// Package xmlstream is the guarded way into the XML formats: a stream of
// tokens for [xml.NewTokenDecoder] that stays within limits, knows no entity
// but the standard five, and closes a document that was cut short, so that
// the readers behind it see well-formed XML whatever the bytes.
package xmlstream

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"

	"golang.org/x/net/html/charset"
	"golang.org/x/text/encoding/unicode"

	"boutwise/parsers/recording"
)

// tokensPerSample bounds the tokens of a document in proportion to the samples
// it may hold. A track point with every known extension takes about 60.
const tokensPerSample = 200

// Reader yields the raw tokens of one document. Elements keep their prefixes;
// [xml.NewTokenDecoder] resolves namespaces on top.
type Reader struct {
	dec    *xml.Decoder
	format recording.Format
	lim    recording.Limits

	open   []xml.Name // elements not yet closed, outermost first
	tokens int

	cut     bool   // the document ended early and is being closed
	cutLine int    // where
	cutWhy  string // what stood there
	failed  error  // a limit was passed; final
}

// New reads data as one document of the format named, for error messages.
func New(data []byte, format recording.Format, lim recording.Limits) *Reader {
	dec := xml.NewDecoder(bytes.NewReader(decodeUTF16(data)))
	dec.CharsetReader = charsetReader
	return &Reader{dec: dec, format: format, lim: lim.WithDefaults()}
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
	if r.tokens++; r.tokens > tokensPerSample*r.lim.MaxSamples {
		return nil, r.fail("more elements than %d samples can need", r.lim.MaxSamples)
	}
	return r.follow(tok)
}

// follow keeps the stack of open elements and holds the limits.
func (r *Reader) follow(tok xml.Token) (xml.Token, error) {
	switch t := tok.(type) {
	case xml.StartElement:
		if len(r.open) >= r.lim.MaxXMLDepth {
			return nil, r.fail("elements nest deeper than %d", r.lim.MaxXMLDepth)
		}
		r.open = append(r.open, t.Name)
	case xml.EndElement:
		// A closing tag that closes nothing, or something else: damage. The
		// rest cannot be trusted to stand where it seems to.
		if n := len(r.open); n == 0 || r.open[n-1] != t.Name {
			r.markCut(fmt.Errorf("</%s> closes no open element", local(t.Name)))
			return r.closeOne()
		}
		r.open = r.open[:len(r.open)-1]
	case xml.Directive:
		// A document type could declare entities. They are never expanded:
		// encoding/xml knows the standard five only, and a use of another is
		// a syntax error. So the declaration itself is harmless and left out.
		return xml.Comment(nil), nil
	}
	return tok, nil
}

// markCut notes where reading stopped.
func (r *Reader) markCut(err error) {
	r.cut = true
	r.cutLine, _ = r.dec.InputPos()
	r.cutWhy = "the file ends early"
	var syntax *xml.SyntaxError
	switch {
	case errors.As(err, &syntax) && syntax.Msg != "unexpected EOF":
		r.cutWhy = syntax.Msg
	case !errors.As(err, &syntax) && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF):
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

// fail refuses the document for passing a limit.
func (r *Reader) fail(detail string, limit int) error {
	r.failed = &recording.ParseError{
		Format: r.format, Offset: r.dec.InputOffset(), Line: r.Line(),
		Reason: recording.ErrTooLarge, Detail: fmt.Sprintf(detail, limit),
		Remedy: "raise the limit if this really is one workout",
	}
	return r.failed
}

// Line is the current line, from 1.
func (r *Reader) Line() int {
	line, _ := r.dec.InputPos()
	return line
}

// Cut tells whether the document was damaged or ended early.
func (r *Reader) Cut() bool { return r.cut }

// Salvage lists, in plain words, what was wrong with the document; nil when it
// was whole.
func (r *Reader) Salvage() []string {
	if !r.cut {
		return nil
	}
	return []string{fmt.Sprintf("XML damaged at line %d (%s): read up to there", r.cutLine, r.cutWhy)}
}

// Damaged is the error for a document of which nothing could be used: at the
// place of the damage when there was one, else with the detail given.
func (r *Reader) Damaged(detail string) *recording.ParseError {
	line := r.Line()
	if r.cut {
		line, detail = r.cutLine, r.cutWhy
	}
	return &recording.ParseError{
		Format: r.format, Offset: -1, Line: line, Reason: recording.ErrDamaged, Detail: detail,
		Remedy: "export it again from the device or its service",
	}
}

// Root gives the local name of the document's first element, from as much of
// its beginning as is given; "" when there is none.
func Root(head []byte) string {
	dec := xml.NewDecoder(bytes.NewReader(decodeUTF16(head)))
	dec.CharsetReader = charsetReader
	for {
		tok, err := dec.RawToken()
		if err != nil {
			return ""
		}
		switch t := tok.(type) {
		case xml.StartElement:
			return local(t.Name)
		case xml.CharData:
			// Only blanks and a byte order mark may stand before the root.
			if len(bytes.TrimSpace(bytes.TrimPrefix(t, []byte("\ufeff")))) > 0 {
				return ""
			}
		}
	}
}

// local is a raw name without its prefix.
func local(n xml.Name) string { return n.Local }

// decodeUTF16 gives UTF-8 for a document that starts with a UTF-16 byte order
// mark, and any other unchanged.
func decodeUTF16(data []byte) []byte {
	if !bytes.HasPrefix(data, []byte("\xff\xfe")) && !bytes.HasPrefix(data, []byte("\xfe\xff")) {
		return data
	}
	text, err := unicode.UTF16(unicode.LittleEndian, unicode.UseBOM).NewDecoder().Bytes(data)
	if err != nil {
		return data
	}
	return text
}

// charsetReader decodes the charset a document declares. One that declares
// UTF-16 has been decoded already, or was never in it.
func charsetReader(label string, input io.Reader) (io.Reader, error) {
	if strings.HasPrefix(strings.ToLower(label), "utf-16") {
		return input, nil
	}
	return charset.NewReaderLabel(label, input)
}
