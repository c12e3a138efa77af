package xmlstream

import (
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

// source reads a document's bytes one at a time, as the tokenizer wants them,
// and stops where a single token grows out of proportion.
type source struct {
	data []byte
	pos  int
	run  int // bytes since the last "<"
}

// ReadByte gives the next byte.
func (s *source) ReadByte() (byte, error) {
	if s.pos >= len(s.data) {
		return 0, io.EOF
	}
	c := s.data[s.pos]
	s.pos++
	if s.run++; c == '<' {
		s.run = 0
	} else if s.run > maxRun {
		return 0, errLongRun
	}
	return c, nil
}

// Read serves the charset decoders, which sit between s and the tokenizer.
func (s *source) Read(p []byte) (int, error) {
	if s.pos >= len(s.data) {
		return 0, io.EOF
	}
	n := copy(p, s.data[s.pos:])
	if last := bytes.LastIndexByte(p[:n], '<'); last >= 0 {
		s.run = n - last - 1
	} else if s.run += n; s.run > maxRun {
		return 0, errLongRun
	}
	s.pos += n
	return n, nil
}

// Root gives the local name of the document's first element, from as much of
// its beginning as is given; "" when there is none.
func Root(head []byte) string {
	dec := newDecoder(head)
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

// charsetReader decodes the charset that a document declares. One that
// declares UTF-16 has been decoded already, or was never in it.
func charsetReader(label string, input io.Reader) (io.Reader, error) {
	if strings.HasPrefix(strings.ToLower(label), "utf-16") {
		return input, nil
	}
	return charset.NewReaderLabel(label, input)
}
