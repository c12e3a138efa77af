package main

import (
	"fmt"
	"math"
	"strings"

	"boutwise/pipeline/tables"
)

const (
	possible = "possible"
	evenWord = "even"

	paceHead       = "pace"
	quartersHead   = "quarters, %"
	steadinessHead = "CV"
)

// boutLines tells the bouts and how evenly they were held.
func (v inspectionView) boutLines(s tables.Session, bouts []tables.Bout) []string {
	doubtful := len(bouts) - int(s.Bouts)
	text := "No bouts"
	if s.Bouts > 0 {
		text = plural(int(s.Bouts), "bout", "bouts")
	}
	if doubtful > 0 {
		text += " and " + plural(doubtful, "possible one", "possible ones")
	}
	lines := wrap(fmt.Sprintf("%s in %s: %s.", text, v.outputName(s.OutputSignal), sessionText(s)), "  ", v.screen.width)
	if len(bouts) > 0 {
		rows, dropped := v.boutGrid(bouts).lines(v.screen)
		lines = append(append(lines, ""), rows...)
		lines = append(lines, "")
		lines = append(lines, wrap(v.boutNotes(rows[0], doubtful)+noRoom(dropped), "  ", v.screen.width)...)
	}
	return append(lines, v.sessionFigures(s)...)
}

// boutNotes explains the columns in the head that need it.
func (v inspectionView) boutNotes(head string, doubtful int) string {
	var notes []string
	for _, n := range []struct{ column, text string }{
		{v.screen.signs.plusMinus, "half of a 90 % interval, in seconds, rounded up."},
		{paceHead, "in " + v.units.PaceName() + "."},
		{quartersHead, "each quarter's mean in percent of the bout's."},
		{steadinessHead, "the variation of 10 s means, in percent: less is evener."},
	} {
		if strings.Contains(head, n.column) {
			notes = append(notes, n.column+": "+n.text)
		}
	}
	if doubtful > 0 {
		notes = append(notes, "?: only might be a bout, a question to you; counted nowhere.")
	}
	return strings.Join(notes, " ")
}

// noRoom names the columns of a grid that a narrow screen left out.
func noRoom(dropped []string) string {
	if len(dropped) == 0 {
		return ""
	}
	return " No room for " + strings.Join(dropped, "; ") + ": a wider window or --json shows them."
}

// sessionFigures are the figures of the session as a whole, where there are
// any.
func (v inspectionView) sessionFigures(s tables.Session) []string {
	var parts []string
	if s.LastToFirst != nil && s.Bouts > 1 {
		parts = append(parts, fmt.Sprintf("The last bout was held at %.0f %% of the first.", *s.LastToFirst))
	}
	if s.BetweenBoutCV != nil {
		parts = append(parts, fmt.Sprintf("The bouts differ from each other by %.1f %% (CV of their means).", *s.BetweenBoutCV))
	}
	if s.HRDrift != nil {
		parts = append(parts, fmt.Sprintf("Heart rate for the same output drifted by %+.1f %% from the first half to the second.", *s.HRDrift))
	}
	if len(parts) == 0 {
		return nil
	}
	return wrap(strings.Join(parts, " "), "  ", v.screen.width)
}

func (v inspectionView) boutGrid(bouts []tables.Bout) *grid {
	g := &grid{columns: []column{
		{head: "#", right: true}, {head: "start", right: true, tight: true}, {head: v.screen.signs.plusMinus, right: true, spare: 5},
		{head: "length", right: true}, {head: "W", right: true}, {head: paceHead, right: true},
		{head: "mL/kg/min", right: true, spare: 6}, {head: quartersHead, right: true, spare: 3},
		{head: steadinessHead, right: true}, {head: "pacing"}, {head: "bpm", right: true, spare: 1},
		{head: "peak", right: true, tight: true, spare: 2},
		{head: "recovery", spare: 4},
	}}
	for _, b := range bouts {
		g.rows = append(g.rows, v.boutCells(b))
	}
	return g
}

func (v inspectionView) boutCells(b tables.Bout) []cell {
	name, pacing := fmt.Sprint(b.Bout), cell{text: words(b.Pacing)}
	if b.Confidence == possible {
		name += "?"
	}
	if b.Pacing != evenWord {
		pacing.ink = inkWarn
	}
	watts, pace, cost := "", "", ""
	switch b.Signal {
	case "power":
		watts = number("%.0f", b.MeanPower)
	case "oxygen_cost", "speed":
		pace, cost = v.pace(tables.Value(b.MeanSpeed)), number("%.1f", b.MeanOxygenCost)
	}
	recovery := ""
	if b.Recovery != nil {
		recovery = strings.TrimSpace(clock(*b.Recovery) + " " + b.RecoveryKind)
	}
	row := make([]cell, 0, 13)
	for _, text := range []string{name, clock(b.StartS), fmt.Sprintf("%.0f", math.Ceil(b.StartUncertainty)), clock(b.DurationS), watts, pace, cost,
		quarterText(b), number("%.1f", b.SteadinessCV)} {
		row = append(row, cell{text: text})
	}
	row = append(row, pacing)
	for _, text := range []string{number("%.0f", b.MeanHR), number("%.0f", b.PeakHR), recovery} {
		row = append(row, cell{text: text})
	}
	return row
}

// quarterText writes the quarters under each other; "" without any.
func quarterText(b tables.Bout) string {
	var text strings.Builder
	for _, q := range []*float64{b.Quarter1, b.Quarter2, b.Quarter3, b.Quarter4} {
		if q == nil {
			return ""
		}
		fmt.Fprintf(&text, "%4.0f", *q)
	}
	return strings.TrimSpace(text.String())
}
