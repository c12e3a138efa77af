package xmlstream

import (
	"bufio"
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"strings"

	"golang.org/x/net/html/charset"
	"golang.org/x/text/encoding/unicode"
)

// maxRun is the most bytes that may pass without a "<". No "<" may stand
// inside a tag, so it bounds the attributes of one element, which the
// tokenizer would all hold at once, and the length of one text. The longest
// honest tag is the root with its namespaces, some 2 KB.
const maxRun = 1 << 20

// errLongRun reports a tag or text longer than maxRun.
var errLongRun = errors.New("a tag or text longer than 1 MiB")

// source reads a document one byte at a time, as the tokenizer wants them: in
// UTF-8, with nothing in it that the tokenizer would give up at (repair.go).
// It stops where a single token grows out of proportion.
type source struct {
	raw      *bufio.Reader
	pending  []byte // of a character that was read, yet to be given out
	run      int    // bytes since the last "<"
	line     int    // that reading has come to, from 1
	repaired bool   // a character was replaced
}

// newSource reads bytes in UTF-8, or UTF-16 with a byte order mark.
func newSource(data []byte) *source {
	return &source{raw: bufio.NewReader(bytes.NewReader(decodeUTF16(data))), line: 1}
}

// ReadByte gives the next byte.
func (s *source) ReadByte() (byte, error) {
	c, err := s.next()
	if err != nil {
		return 0, err
	}
	if s.run++; c == '<' {
		s.run = 0
	} else if s.run > maxRun {
		return 0, errLongRun
	}
	return c, nil
}

// Read is asked for by the tokenizer, which then reads byte by byte.
func (s *source) Read(p []byte) (int, error) {
	for i := range p {
		c, err := s.ReadByte()
		if err != nil {
			return i, err
		}
		p[i] = c
	}
	return len(p), nil
}

// declared goes on in the charset that the document declares, if that is
// known. One that declares UTF-16 has been decoded already, or was never in
// it; one in UTF-8 is left to the repair, which knows what else it may be.
func (s *source) declared(label string, _ io.Reader) (io.Reader, error) {
	_, name := charset.Lookup(label)
	if name != "" && name != "utf-8" && !strings.HasPrefix(name, "utf-16") {
		decoded, err := charset.NewReaderLabel(label, s.raw)
		if err != nil {
			return nil, err
		}
		s.raw = bufio.NewReader(decoded)
	}
	return s, nil
}

// Root gives the local name of the document's first element, from as much of
// its beginning as is given; "" when there is none.
func Root(head []byte) string {
	dec := newDecoder(newSource(head))
	for {
		tok, err := dec.RawToken()
		if err != nil {
			return ""
		}
		switch t := tok.(type) {
		case xml.StartElement:
			return t.Name.Local
		case xml.CharData:
			// Only blanks and a byte order mark may stand before the root.
			if len(bytes.TrimSpace(bytes.TrimPrefix(t, []byte("\ufeff")))) > 0 {
				return ""
			}
		}
	}
}

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
