package practice

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"slices"
	"strings"
)

// sheet is one CSV file with its columns known by name.
type sheet struct {
	file   string
	rows   []row
	broken bool // rows are missing, as has been reported
}

// row is one row of a sheet that holds something.
type row struct {
	line  int               // as a spreadsheet numbers it, from 1: a cell may span lines
	cells map[string]string // by column; trimmed
}

// readSheet reads one CSV file of the practice folder. A missing file is an
// empty sheet. Columns may stand in any order; the header names must be among
// columns, and all of required must be there.
func (l *loader) readSheet(file string, columns, required []string) sheet {
	s := sheet{file: file}
	text, err := l.open(file)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return s
	case err != nil:
		l.report(Problem{File: file, What: "cannot be read: " + plainReason(err)})
		s.broken = true
		return s
	}
	comma, body := separator(text)
	r := csv.NewReader(bytes.NewReader(body))
	r.Comma, r.Comment = comma, '#'
	r.FieldsPerRecord = -1 // spreadsheets leave trailing cells out, or add empty ones
	var header []string
	breaks := 0 // lines that began within a cell so far
	for {
		record, err := r.Read()
		if err == io.EOF {
			break
		}
		if err != nil { // of text in memory, with any number of cells a row, quotation marks alone can be wrong
			l.report(Problem{File: file, Row: errorLine(err) - breaks, What: "not readable as CSV: a quotation mark stands alone",
				Remedy: "delete it, or write it twice where it is meant"})
			s.broken = true
			break
		}
		line, _ := r.FieldPos(0)
		line -= breaks
		for _, cell := range record {
			breaks += strings.Count(cell, "\n")
		}
		cells := trimmed(record)
		switch {
		case len(cells) == 0: // a row of empty cells
		case header == nil:
			if header = l.readHeader(file, line, cells, columns, required); header == nil {
				s.broken = true
				return s
			}
		default:
			s.rows = append(s.rows, l.readRow(file, line, header, cells))
		}
	}
	if header == nil && !s.broken && len(required) > 0 && len(bytes.TrimSpace(body)) > 0 {
		l.report(Problem{File: file, What: "has no header row", Remedy: "start it with " + strings.Join(columns, ",")})
	}
	return s
}

// separator finds what stands between cells: the most frequent of comma,
// semicolon and tab in the first line that holds something and is no comment.
// A first line "sep=;", which some spreadsheets write and do not show, settles
// it and is taken off the text.
func separator(text []byte) (comma rune, body []byte) {
	first, rest, _ := bytes.Cut(text, []byte("\n"))
	if mark, ok := bytes.CutPrefix(bytes.ToLower(first), []byte("sep=")); ok && len(mark) > 0 && bytes.IndexByte([]byte(",;\t|"), mark[0]) >= 0 {
		return rune(mark[0]), rest
	}
	for line := range bytes.Lines(text) {
		line = bytes.TrimSpace(line)
		if len(line) == 0 || line[0] == '#' {
			continue
		}
		comma, most := ',', bytes.Count(line, []byte(","))
		for _, c := range []rune{';', '\t'} {
			if n := bytes.Count(line, []byte(string(c))); n > most {
				comma, most = c, n
			}
		}
		return comma, text
	}
	return ',', text
}

// trimmed takes blanks off every cell and drops empty cells at the end.
func trimmed(record []string) []string {
	for len(record) > 0 && strings.TrimSpace(record[len(record)-1]) == "" {
		record = record[:len(record)-1]
	}
	cells := make([]string, len(record))
	for i, c := range record {
		cells[i] = strings.TrimSpace(c) // also trims the no-break space
	}
	return cells
}

// readHeader gives the known name of each column, "" for a column of notes,
// or nil when a required one is missing.
func (l *loader) readHeader(file string, line int, cells, columns, required []string) []string {
	header := make([]string, len(cells))
	seen := map[string]bool{}
	for i, c := range cells {
		name := strings.ToLower(strings.ReplaceAll(c, " ", "_"))
		switch {
		case slices.Contains(columns, name) && seen[name]:
			l.report(Problem{file, line, c, "this column stands twice", "delete one of the two"})
		case slices.Contains(columns, name):
			header[i], seen[name] = name, true
		case name == "" || isNotes(name):
		default:
			l.report(Problem{file, line, c, "unknown column" + nearest(name, columns),
				"rename it, or call it note, which is not read"})
		}
	}
	complete := true
	for _, name := range required {
		if !seen[name] {
			l.report(Problem{file, line, name, "this column is missing", "the header must name " + strings.Join(required, ", ")})
			complete = false
		}
	}
	if !complete {
		return nil
	}
	return header
}

// isNotes tells a column for the coach's own remarks.
func isNotes(name string) bool {
	for _, word := range []string{"note", "comment", "remark"} {
		if strings.HasPrefix(name, word) {
			return true
		}
	}
	return false
}

// readRow pairs the cells of a row with the header.
func (l *loader) readRow(file string, line int, header, cells []string) row {
	if len(cells) > len(header) {
		l.report(Problem{file, line, "", fmt.Sprintf("%d cells, but the header names %d columns", len(cells), len(header)),
			"a decimal comma in a comma-separated file? write 70.5 or put the cell in quotation marks"})
		cells = cells[:len(header)]
	}
	r := row{line: line, cells: make(map[string]string, len(cells))}
	for i, c := range cells {
		if header[i] != "" {
			r.cells[header[i]] = c
		}
	}
	return r
}

// errorLine is the line in which a CSV error stands.
func errorLine(err error) int {
	var pe *csv.ParseError
	if errors.As(err, &pe) {
		return pe.StartLine
	}
	return 0
}

// plainReason is an error's innermost reason, without path and operation,
// which the problem names itself.
func plainReason(err error) string {
	var pathErr *fs.PathError
	if errors.As(err, &pathErr) {
		return pathErr.Err.Error()
	}
	return err.Error()
}
