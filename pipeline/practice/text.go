package practice

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// maxConfigBytes bounds a configuration file. A thousand clients with ten
// years of monthly measurements stay under 10 MB.
const maxConfigBytes = 32 << 20

// readText reads a whole configuration file as UTF-8 with plain line ends.
// The error of a missing file satisfies errors.Is(err, fs.ErrNotExist).
func readText(path string) ([]byte, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	raw, err := io.ReadAll(io.LimitReader(f, maxConfigBytes+1))
	if err != nil {
		return nil, err
	}
	if len(raw) > maxConfigBytes {
		return nil, fmt.Errorf("larger than %d MB, which no list of clients needs", maxConfigBytes>>20)
	}
	return plainText(raw)
}

// plainText turns what a spreadsheet may have written into UTF-8 with \n line
// ends: a byte-order mark tells UTF-8 and UTF-16 apart, and bytes that are not
// UTF-8 are taken for Windows-1252, the one other encoding that spreadsheets
// still write where Latin letters are used.
func plainText(raw []byte) ([]byte, error) {
	switch {
	case bytes.HasPrefix(raw, []byte{0xEF, 0xBB, 0xBF}):
		raw = raw[3:]
	case bytes.HasPrefix(raw, []byte{0xFF, 0xFE}), bytes.HasPrefix(raw, []byte{0xFE, 0xFF}):
		return decoded(raw, unicode.UTF16(unicode.LittleEndian, unicode.ExpectBOM))
	case len(raw) > 1 && raw[0] != 0 && raw[1] == 0: // no mark; the first letter of a header or comment is Latin
		return decoded(raw, unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM))
	case len(raw) > 1 && raw[0] == 0 && raw[1] != 0:
		return decoded(raw, unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM))
	}
	if bytes.IndexByte(raw, 0) >= 0 {
		return nil, fmt.Errorf("holds zero bytes, so it is no text; save it as CSV (UTF-8)")
	}
	if !utf8.Valid(raw) {
		return decoded(raw, charmap.Windows1252)
	}
	return plainLineEnds(raw), nil
}

// decoded reads raw in the encoding given.
func decoded(raw []byte, from encoding.Encoding) ([]byte, error) {
	text, err := from.NewDecoder().Bytes(raw)
	if err != nil {
		return nil, fmt.Errorf("not readable as text (%w); save it as CSV (UTF-8)", err)
	}
	return plainLineEnds(text), nil
}

// plainLineEnds turns \r\n and a lone \r into \n.
func plainLineEnds(text []byte) []byte {
	text = bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n"))
	return bytes.ReplaceAll(text, []byte("\r"), []byte("\n"))
}
