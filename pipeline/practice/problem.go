package practice

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
)

// Problem is one thing wrong with one place of a configuration file.
type Problem struct {
	File   string // name inside the practice folder
	Row    int    // as a spreadsheet numbers it, from 1, or the line of practice.toml; 0 when the whole file is meant
	Column string // heading of the column or key of the setting; "" when the whole row is meant
	What   string // what is wrong
	Remedy string // what to do about it
}

// oneLine keeps a cell that spans lines from breaking a message in two.
var oneLine = strings.NewReplacer("\n", " ", "\r", " ")

// Error gives one line: file, row, column, what is wrong, what to do.
func (p Problem) Error() string {
	var b strings.Builder
	b.WriteString(p.File)
	if p.Row > 0 {
		fmt.Fprintf(&b, ", row %d", p.Row)
	}
	if p.Column != "" {
		fmt.Fprintf(&b, ", %s", p.Column)
	}
	fmt.Fprintf(&b, ": %s", p.What)
	if p.Remedy != "" {
		fmt.Fprintf(&b, "; %s", p.Remedy)
	}
	return oneLine.Replace(b.String())
}

// Problems is everything that is wrong with a practice's configuration, by
// file and row. [Load] returns it as its error.
type Problems []Problem

// Error gives one line a problem.
func (ps Problems) Error() string {
	lines := make([]string, len(ps))
	for i, p := range ps {
		lines[i] = p.Error()
	}
	return strings.Join(lines, "\n")
}

// sorted orders by file and row, keeping the order of discovery within a row.
func (ps Problems) sorted() Problems {
	slices.SortStableFunc(ps, func(a, b Problem) int {
		return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Row, b.Row))
	})
	return ps
}
