package parsers

import (
	"errors"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"boutwise/parsers/recording"
)

const (
	// mostNote is the most bytes of one note or detail: a line in a terminal
	// and some. Names in a broken export can be a megabyte long.
	mostNote = 120
	// mostNotes is the most bytes of all notes on one recording together.
	mostNotes = 200
)

// clip makes a text one printable line of at most mostNote bytes.
func clip(text string) string {
	text = strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) || r == utf8.RuneError {
			return '_'
		}
		return r
	}, text)
	if len(text) <= mostNote {
		return text
	}
	cut := mostNote - len("…")
	for !utf8.RuneStart(text[cut]) {
		cut--
	}
	return text[:cut] + "…"
}

// clipNotes keeps the notes on a recording short enough to be read; the first
// tell most, and how much more there is, the last one.
func clipNotes(notes []string) []string {
	var kept []string
	length := 0
	for i, note := range notes {
		note = clip(note)
		if length += len(note); length > mostNotes && i > 0 {
			return append(kept, more(len(notes)-i))
		}
		kept = append(kept, note)
	}
	return kept
}

func more(n int) string {
	if n == 1 {
		return "one more repair"
	}
	return strconv.Itoa(n) + " more repairs"
}

// clipError does the same with the detail of an error.
func clipError(err error) error {
	var parse *recording.ParseError
	if errors.As(err, &parse) {
		parse.Detail = clip(parse.Detail)
	}
	return err
}
