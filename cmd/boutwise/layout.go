package main

import (
	"strings"
	"unicode/utf8"
)

// A percent sign stays with its figure.
const noBreak = "\u00a0"

var (
	keepTogether = strings.NewReplacer(" %", noBreak+"%")
	releaseAgain = strings.NewReplacer(noBreak, " ")
)

// wrap folds text at blanks to lines of at most width. The first stands behind
// head, the others behind as many blanks.
func wrap(text, head string, width int) []string {
	// On a narrow screen a long head would leave no room.
	hang := strings.Repeat(" ", min(columns(head), width/3))
	var lines []string
	line, empty := head, true
	for word := range strings.SplitSeq(keepTogether.Replace(text), " ") {
		if word == "" {
			continue
		}
		if !empty && columns(line)+1+columns(word) > width {
			lines = append(lines, releaseAgain.Replace(line))
			line, empty = hang, true
		}
		if !empty {
			line += " "
		}
		line, empty = line+word, false
	}
	return append(lines, releaseAgain.Replace(line))
}

// columns is how wide text stands. Letters of double width are taken for
// single ones: no word of the program's own has any.
func columns(text string) int { return utf8.RuneCountInString(text) }

// column is one column of a grid.
type column struct {
	head  string
	right bool // figures stand under each other
	tight bool // close to the column before it
	spare int  // columns with a higher one are left out first where room is short; 0 never
}

// cell is one figure or word of a grid.
type cell struct {
	text string
	ink  ink
}

// grid is a small table for the terminal.
type grid struct {
	columns []column
	rows    [][]cell
}

// add puts a row of plain cells below the others.
func (g *grid) add(texts ...string) {
	row := make([]cell, len(texts))
	for i, text := range texts {
		row[i].text = text
	}
	g.rows = append(g.rows, row)
}

// before is the blanks between a column and the one before it.
func (c column) before() string {
	if c.tight {
		return " "
	}
	return "  "
}

// lines lays the grid out, head first. Columns without any cell are left out;
// so are spare ones until the lines fit, and dropped names them.
func (g *grid) lines(s screen) (lines, dropped []string) {
	shown, widths := g.widths()
	for g.width(shown, widths) > s.width {
		at := -1
		for i, c := range g.columns {
			if shown[i] && c.spare > 0 && (at < 0 || c.spare > g.columns[at].spare) {
				at = i
			}
		}
		if at < 0 {
			break // nothing more can be spared
		}
		shown[at], dropped = false, append(dropped, g.columns[at].head)
	}
	head := make([]cell, len(g.columns))
	for i, c := range g.columns {
		head[i] = cell{c.head, inkStrong}
	}
	for _, row := range append([][]cell{head}, g.rows...) {
		lines = append(lines, g.line(s, row, shown, widths))
	}
	return lines, dropped
}

// widths measures the columns and tells which have anything to show.
func (g *grid) widths() (shown []bool, widths []int) {
	shown, widths = make([]bool, len(g.columns)), make([]int, len(g.columns))
	for i, c := range g.columns {
		widths[i] = columns(c.head)
		for _, row := range g.rows {
			widths[i] = max(widths[i], columns(row[i].text))
			shown[i] = shown[i] || row[i].text != ""
		}
	}
	return shown, widths
}

// width is that of a line with the columns shown.
func (g *grid) width(shown []bool, widths []int) int {
	sum := 0
	for i, w := range widths {
		if shown[i] {
			sum += len(g.columns[i].before()) + w
		}
	}
	return sum
}

func (g *grid) line(s screen, row []cell, shown []bool, widths []int) string {
	var b strings.Builder
	pending := "" // blanks are written before the next text only
	for i, c := range row {
		if !shown[i] {
			continue
		}
		room := strings.Repeat(" ", widths[i]-columns(c.text))
		pending += g.columns[i].before()
		if g.columns[i].right {
			pending, room = pending+room, ""
		}
		if c.text != "" {
			b.WriteString(pending + s.paint(c.ink, c.text))
			pending = ""
		}
		pending += room
	}
	return b.String()
}
