package main

import (
	"fmt"
	"math"
	"strings"

	"boutwise/metrics"
	"boutwise/metrics/stats"
	"boutwise/pipeline/tables"
)

const (
	plotHeight = 6 // rows of a drawing
	labelWidth = 6 // of the figures left of it
	marginal   = 2 // the axis and the blank before it
	markEvery  = 14
)

// plot draws columns of a session, as wide as the screen allows.
type plot struct {
	signs   *signs
	screen  screen
	width   int // characters
	seconds int
}

func plotOn(s screen, seconds int) plot {
	return plot{s.signs, s, s.width - labelWidth - marginal, seconds}
}

// trace draws a column as a filled curve, with the numbers of the bouts above
// it and its lowest and highest figure on the left. The scale runs from a low
// to a high quantile, so that one stray second does not flatten the rest.
func (p plot) trace(title string, values []float64, bouts []tables.Bout, write func(float64) string) []string {
	cells := p.columnMeans(values)
	low, high := stats.Quantile(values, 0.01), stats.Quantile(values, 0.995)
	if !(high > low) {
		high = low + 1
	}
	lines := []string{"  " + p.screen.paint(inkStrong, title)}
	if len(bouts) > 0 {
		lines = append(lines, strings.Repeat(" ", labelWidth+marginal)+p.screen.paint(inkStrong, p.boutMarks(bouts)))
	}
	for row := plotHeight - 1; row >= 0; row-- {
		label := ""
		switch row {
		case plotHeight - 1:
			label = write(high)
		case 0:
			label = write(low)
		}
		var b strings.Builder
		fmt.Fprintf(&b, "%*s %c", labelWidth, label, p.signs.axis)
		for _, v := range cells {
			b.WriteRune(p.cell(v, low, high, row))
		}
		lines = append(lines, strings.TrimRight(b.String(), " "))
	}
	return lines
}

// cell is the part of a row that a value fills. The lowest value still shows
// as a thin line, so that measured is told from missing.
func (p plot) cell(v, low, high float64, row int) rune {
	if math.IsNaN(v) {
		return p.signs.levels[0]
	}
	full := len(p.signs.levels) - 1
	filled := (v-low)/(high-low)*float64(plotHeight*full) - float64(row*full)
	if row == 0 {
		filled = max(filled, 1)
	}
	return p.signs.levels[int(max(0, min(float64(full), math.Round(filled))))]
}

// columnMeans is the mean of the seconds behind each character.
func (p plot) columnMeans(values []float64) []float64 {
	means := make([]float64, p.width)
	per := float64(p.seconds) / float64(p.width)
	for i := range means {
		// A short recording has less than a second a character: each then
		// shows the whole second that it lies in.
		start := float64(i) * per
		stretch := metrics.Stretch{Start: start, End: start + per}
		if per < 1 {
			stretch = metrics.Stretch{Start: math.Floor(start), End: math.Floor(start) + 1}
		}
		means[i] = stretch.Mean(values)
	}
	return means
}

// boutMarks is a line with each bout's extent and number; a possible one is
// drawn with dots.
func (p plot) boutMarks(bouts []tables.Bout) string {
	line := []rune(strings.Repeat(" ", p.width))
	at := func(second float64) float64 { return second / float64(p.seconds) * float64(p.width) }
	for _, bout := range bouts {
		from := min(p.width-1, int(at(bout.StartS)))
		to := min(p.width-1, max(from, int(math.Ceil(at(bout.EndS)))-1))
		dash, label := p.signs.line, []rune(fmt.Sprint(bout.Bout))
		if bout.Confidence == possible {
			dash, label = p.signs.dots, append(label, '?')
		}
		for i := from; i <= to; i++ {
			line[i] = dash
		}
		if middle := (from + to + 1 - len(label)) / 2; middle >= from && to-from+1 >= len(label) {
			copy(line[middle:], label)
		}
	}
	return strings.TrimRight(string(line), " ")
}

// timeAxis labels the drawing with the time from the start.
func (p plot) timeAxis() string {
	marks := max(1, p.width/markEvery)
	const left = labelWidth + marginal
	line := []rune(strings.Repeat(" ", left+p.width))
	for k := range marks + 1 {
		label := []rune(clock(float64(p.seconds) * float64(k) / float64(marks)))
		at := min(left+p.width*k/marks, len(line)-len(label))
		copy(line[at:], label)
	}
	return string(line)
}
