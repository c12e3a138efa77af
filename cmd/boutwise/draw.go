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
	plotWidth  = 84 // columns of a drawing
	plotHeight = 6  // rows of a drawing
)

// eighths are a cell filled from below in steps of an eighth.
var eighths = []rune(" ▁▂▃▄▅▆▇█")

// drawTrace draws a column of a session as a filled curve, with the numbers
// of the bouts above it. Its scale runs from a low to a high quantile, so that
// one stray second does not flatten the rest.
func drawTrace(title string, values []float64, bouts []tables.Bout) string {
	cells := columnMeans(values)
	low, high := stats.Quantile(values, 0.01), stats.Quantile(values, 0.995)
	if !(high > low) {
		high = low + 1
	}
	var b strings.Builder
	fmt.Fprintf(&b, "  %s\n", title)
	if len(bouts) > 0 {
		fmt.Fprintf(&b, "        %s\n", boutMarks(bouts, len(values)))
	}
	for row := plotHeight - 1; row >= 0; row-- {
		label := ""
		switch row {
		case plotHeight - 1:
			label = fmt.Sprintf("%.0f", high)
		case 0:
			label = fmt.Sprintf("%.0f", low)
		}
		fmt.Fprintf(&b, "%6s ┤", label)
		for _, v := range cells {
			b.WriteRune(cell(v, low, high, row))
		}
		b.WriteByte('\n')
	}
	return b.String()
}

// cell is the part of a row that a value fills. The lowest value still shows
// as a thin line, so that measured is told from missing.
func cell(v, low, high float64, row int) rune {
	if math.IsNaN(v) {
		return ' '
	}
	filled := (v-low)/(high-low)*plotHeight*8 - float64(row*8)
	if row == 0 {
		filled = max(filled, 1)
	}
	return eighths[int(max(0, min(8, math.Round(filled))))]
}

// columnMeans is the mean of the seconds behind each column of the drawing.
func columnMeans(values []float64) []float64 {
	means := make([]float64, plotWidth)
	for i := range means {
		means[i] = columnStretch(i, len(values)).Mean(values)
	}
	return means
}

func columnStretch(i, seconds int) metrics.Stretch {
	per := float64(seconds) / plotWidth
	return metrics.Stretch{Start: float64(i) * per, End: float64(i+1) * per}
}

// boutMarks is a line with each bout's extent and number; a possible one is
// drawn with dots.
func boutMarks(bouts []tables.Bout, seconds int) string {
	line := []rune(strings.Repeat(" ", plotWidth))
	for _, bout := range bouts {
		from := int(bout.StartS / float64(seconds) * plotWidth)
		to := min(plotWidth-1, max(from, int(math.Ceil(bout.EndS/float64(seconds)*plotWidth))-1))
		dash := '─'
		if bout.Confidence == "possible" {
			dash = '·'
		}
		for i := from; i <= to; i++ {
			line[i] = dash
		}
		label := []rune(fmt.Sprint(bout.Bout))
		if at := (from + to + 1 - len(label)) / 2; at >= 0 && to-from+1 >= len(label) {
			copy(line[at:], label)
		}
	}
	return strings.TrimRight(string(line), " ")
}

// timeAxis labels the drawing's columns with the time from the start.
func timeAxis(seconds int) string {
	const marks = 6
	line := []rune(strings.Repeat(" ", plotWidth+8))
	for k := range marks + 1 {
		label := []rune(clock(float64(seconds) * float64(k) / marks))
		at := plotWidth * k / marks
		if k == marks {
			at = plotWidth + 8 - len(label)
		}
		copy(line[min(at, len(line)-len(label)):], label)
	}
	return "        " + strings.TrimRight(string(line), " ") + "\n"
}
