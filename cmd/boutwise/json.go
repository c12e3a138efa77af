package main

import (
	"encoding/json"
	"fmt"
	"io"
)

// jsonHelp stands in the help of the commands with --json, before what their
// lines are.
const jsonHelp = "With --json each line of standard output is one JSON object: \"type\" says what it is, fields are named " +
	"as the columns in boutwise schema, a missing figure is null. "

// jsonLines prints lines for machines: an object a line, its type first, then
// its fields in the order of their names. The first error ends it.
type jsonLines struct {
	w   io.Writer
	err error
}

func (l *jsonLines) add(kind string, fields map[string]any) {
	if l.err != nil {
		return
	}
	rest, err := json.Marshal(fields)
	if err == nil {
		_, err = fmt.Fprintf(l.w, "{\"type\":%q,%s\n", kind, rest[1:])
	}
	l.err = err
}
