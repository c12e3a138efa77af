package xmlstream

import (
	"strconv"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
)

// A name that a client typed, in a charset other than the one declared, or a
// character that XML forbids must not cost the workout: the tokenizer would
// end the document there. What is replaced cannot make a number of two halves,
// since a blank takes its place.

// next gives the next byte of the document as it is to be tokenized.
func (s *source) next() (byte, error) {
	if len(s.pending) > 0 {
		c := s.pending[0]
		s.pending = s.pending[1:]
		return c, nil
	}
	c, err := s.raw.ReadByte()
	// Nearly all there is in an export.
	if err != nil || c >= ' ' && c < utf8.RuneSelf && c != '&' {
		return c, err
	}
	switch {
	case c >= utf8.RuneSelf:
		s.pending = s.character(c)
		return s.next()
	case c == '\n':
		s.line++
	case !allowed(rune(c)), c == '&' && s.skipReference():
		s.repaired = true
		return ' ', nil
	}
	return c, nil
}

// character gives in UTF-8 the character that begins with a byte beyond ASCII.
// A byte that no UTF-8 can have there is read as Windows-1252, the charset of
// most files that are in none of Unicode's (it holds all of Latin-1).
func (s *source) character(first byte) []byte {
	rest, _ := s.raw.Peek(utf8.UTFMax - 1) // fewer at the end of the document
	r, size := utf8.DecodeRune(append([]byte{first}, rest...))
	switch {
	case size == 1:
		s.repaired = true
		r = charmap.Windows1252.DecodeByte(first)
	case !allowed(r):
		s.repaired = true
		r = utf8.RuneError
	}
	// Peeked at before, so that it is there.
	_, _ = s.raw.Discard(size - 1)
	return utf8.AppendRune(nil, r)
}

// maxReference is the length behind "&" of the longest reference to a character
// that is looked at: "#x10FFFF;" and a few leading zeros.
const maxReference = 16

// skipReference passes over a reference to a character that XML forbids, whose
// "&" was read.
func (s *source) skipReference() bool {
	ahead, _ := s.raw.Peek(maxReference)
	text, _, ended := strings.Cut(string(ahead), ";")
	digits, numeric := strings.CutPrefix(text, "#")
	if !ended || !numeric {
		return false
	}
	base := 10
	if hex, ok := strings.CutPrefix(digits, "x"); ok {
		digits, base = hex, 16
	}
	// What is no number, or beyond Unicode, stays as the text that it is.
	code, err := strconv.ParseUint(digits, base, 32)
	if err != nil || code > utf8.MaxRune || allowed(rune(code)) {
		return false
	}
	_, _ = s.raw.Discard(len(text) + 1) // peeked at before
	return true
}

// allowed tells whether a character may stand in a document: the Char of
// https://www.w3.org/TR/xml/#charsets.
func allowed(r rune) bool {
	return r == '\t' || r == '\n' || r == '\r' ||
		r >= ' ' && r <= 0xD7FF ||
		r >= 0xE000 && r <= 0xFFFD ||
		r >= 0x10000 && r <= utf8.MaxRune
}
