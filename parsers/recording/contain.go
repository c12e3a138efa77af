package recording

import "fmt"

// Contain runs a third-party decoder and turns a panic inside it into
// [ErrDamaged]. It is the only recover in the parsers and belongs around the
// call into the library alone: the parsers' own code is meant not to panic,
// and a panic there must be seen.
func Contain(format Format, library string, decode func() error) (err error) {
	defer func() {
		if cause := recover(); cause != nil {
			err = &ParseError{
				Format: format, Offset: -1, Reason: ErrDamaged,
				Detail: fmt.Sprintf("%s gave up: %v", library, cause),
				Remedy: "export it again from the device or its service",
			}
		}
	}()
	return decode()
}
