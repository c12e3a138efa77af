package recording

import (
	"errors"
	"fmt"
	"strings"
)

// Reasons why bytes yield no recording. A [ParseError] unwraps to one of
// them. No activity and no samples are said of sound bytes alone, which no
// waiting changes; where some are missing, the reason is damage.
var (
	ErrUnknownFormat = errors.New("neither FIT, GPX nor TCX")
	ErrNoActivity    = errors.New("holds no activity")
	ErrNoSamples     = errors.New("holds no timed samples")
	ErrDamaged       = errors.New("too damaged to read")
	ErrTooLarge      = errors.New("larger than the limit")
	ErrEncrypted     = errors.New("encrypted")
)

// ParseError tells where in an export reading stopped and why. The file's
// name is added by the caller, who alone knows it.
type ParseError struct {
	Format Format // "" when it could not be told
	Offset int64  // bytes from the start of the export; -1 when it has no place
	Line   int    // from 1 in the XML formats, 0 elsewhere
	Detail string // what was found there
	Remedy string // what the coach can do; "" when nothing sensible
	Reason error  // one of the sentinels above
}

// Error gives one line: format, place, reason, detail and remedy.
func (e *ParseError) Error() string {
	var b strings.Builder
	if e.Format != "" {
		fmt.Fprintf(&b, "%s: ", e.Format)
	}
	switch {
	case e.Line > 0:
		fmt.Fprintf(&b, "line %d: ", e.Line)
	case e.Offset >= 0:
		fmt.Fprintf(&b, "byte %d: ", e.Offset)
	}
	b.WriteString(e.Reason.Error())
	if e.Detail != "" {
		fmt.Fprintf(&b, ": %s", e.Detail)
	}
	if e.Remedy != "" {
		fmt.Fprintf(&b, "; %s", e.Remedy)
	}
	return b.String()
}

// Unwrap gives the reason.
func (e *ParseError) Unwrap() error { return e.Reason }
