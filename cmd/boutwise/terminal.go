package main

import (
	"io"
	"os"
	"runtime"
	"strconv"
	"strings"
	"unicode"

	"golang.org/x/term"
)

// Rules for what is printed: results go to standard output, progress and
// errors to standard error. A summary fits one screen. Colour and box drawing
// only repeat what words and figures say. Errors begin with the program's
// name, have no capital and no full stop, and end with what to do.

// What is assumed where there is no terminal to ask: the width that a line of
// a mail should keep to (RFC 5322, section 2.1.1), and as many rows as most
// programs show of a mail without scrolling (common practice, no source).
const (
	plainWidth = 78
	plainRows  = 40
)

// The sizes that are believed and made use of.
const (
	minWidth, maxWidth = 40, 120
	minRows, maxRows   = 24, 40
)

// screen is what is known of where a stream is read.
type screen struct {
	width, rows int
	escapes     bool // control sequences are understood: a line can be drawn over
	colour      bool
	signs       *signs
}

// signs are the characters beyond letters that drawings and tables use.
type signs struct {
	levels    []rune // a cell filled from below, empty to full
	axis      rune
	line      rune // over a confirmed bout
	dots      rune // over a possible one
	done      rune // of a progress bar
	todo      rune
	plusMinus string
	ellipsis  string
}

var (
	unicodeSigns = &signs{[]rune(" ▁▂▃▄▅▆▇█"), '┤', '─', '·', '█', '░', "±", "…"}
	asciiSigns   = &signs{[]rune(" ...::###"), '|', '-', '.', '#', '.', "+-", "..."}
)

// screenOf looks at a stream and at the environment.
func screenOf(w io.Writer, getenv func(string) string) screen {
	s := screen{width: plainWidth, rows: plainRows, signs: asciiSigns}
	if speaksUnicode(getenv) {
		s.signs = unicodeSigns
	}
	if file, ok := w.(*os.File); ok && term.IsTerminal(int(file.Fd())) {
		if width, rows, err := term.GetSize(int(file.Fd())); err == nil && width > 0 {
			s.width, s.rows = width, rows
		}
		// Without a name nothing is known of what the terminal understands.
		name := getenv("TERM")
		s.escapes = name != "" && name != "dumb"
		s.colour = s.escapes && getenv("NO_COLOR") == ""
	}
	s.width = asked(getenv("COLUMNS"), s.width, minWidth, maxWidth)
	s.rows = asked(getenv("LINES"), s.rows, minRows, maxRows)
	return s
}

// asked is a number from the environment, or otherwise, within bounds.
func asked(text string, otherwise, low, high int) int {
	n, err := strconv.Atoi(text)
	if err != nil {
		n = otherwise
	}
	return max(low, min(high, n))
}

// speaksUnicode tells whether the locale's encoding is UTF-8.
func speaksUnicode(getenv func(string) string) bool {
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if v := strings.ToLower(getenv(name)); v != "" {
			return strings.Contains(v, "utf-8") || strings.Contains(v, "utf8")
		}
	}
	// Windows has no locale in the environment, and its consoles take UTF-8.
	return runtime.GOOS == "windows"
}

// ink is how a text stands out, as the parameters of a control sequence.
type ink string

const (
	inkPlain  ink = ""
	inkStrong ink = "1"
	inkFaint  ink = "2"
	inkAlarm  ink = "1;31"
	inkWarn   ink = "33"
)

// paint colours text where that is wanted.
func (s screen) paint(k ink, text string) string {
	if !s.colour || k == inkPlain || text == "" {
		return text
	}
	return "\x1b[" + string(k) + "m" + text + "\x1b[0m"
}

// clean makes text from exports and file names safe to print: what would
// steer the terminal or break the line becomes a question mark.
func clean(text string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || r == unicode.ReplacementChar {
			return '?'
		}
		return r
	}, text)
}

// unit writes a unit with the characters that the screen has.
func (s *signs) unit(name string) string {
	if s == asciiSigns {
		return strings.ReplaceAll(name, "°", "")
	}
	return name
}
