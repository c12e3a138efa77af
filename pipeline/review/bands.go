package review

import (
	"cmp"
	"fmt"
	"html/template"
	"slices"
	"strings"

	"boutwise/pipeline/tables"
	"boutwise/pipeline/units"
)

func ofSignal(rows []tables.BandTime, signal string) []tables.BandTime {
	other := func(b tables.BandTime) bool { return b.Signal != signal }
	byLower := func(a, b tables.BandTime) int { return cmp.Compare(a.Lower, b.Lower) }
	if !slices.ContainsFunc(rows, other) && slices.IsSortedFunc(rows, byLower) {
		return rows
	}
	list := slices.DeleteFunc(slices.Clone(rows), other)
	slices.SortStableFunc(list, byLower)
	return list
}

// bandRange writes a band's edges: 104 to 132 bpm.
func bandRange(b tables.BandTime, system units.System) string {
	unit, times, digits := outputUnit(b.Signal, system)
	if b.Upper == nil {
		return fmt.Sprintf("from %s %s", num(digits, b.Lower*times), unit)
	}
	return fmt.Sprintf("%s to %s %s", num(digits, b.Lower*times), num(digits, *b.Upper*times), unit)
}

// swatch is a band's colour for a table's head.
func swatch(k ink) template.HTML {
	return template.HTML(fmt.Sprintf(`<svg class="swatch" viewBox="0 0 30 10" width="30" height="10" aria-hidden="true" focusable="false">`+
		`<rect x=".5" y=".5" width="29" height="9" style="fill:%s;stroke:%s"/></svg>`, k.variable(), inkMuted.variable()))
}

// segment is one part of a bar.
type segment struct {
	length float64
	ink    ink
}

// The bars' size; their unit is a hundredth of the longest.
const (
	barWidth  = 200.0
	barHeight = 20.0
)

// stackedBar draws segments end to end at a scale that puts full at the bar's
// right end, and a mark at mark if it is positive. It is decoration: the
// numbers stand beside it.
func stackedBar(segments []segment, full, mark float64) template.HTML {
	var b strings.Builder
	fmt.Fprintf(&b, `<svg class="bar" viewBox="0 0 %g %g" aria-hidden="true" focusable="false">`, barWidth+2, barHeight+4)
	at := 0.0
	for _, s := range segments {
		width := barWidth * s.length / max(full, 1e-9)
		if width <= 0 {
			continue
		}
		// Outlined, so that the palest step shows on the page; a gap parts it
		// from its neighbour without relying on the colours.
		fmt.Fprintf(&b, `<rect x="%.2f" y="2.5" width="%.2f" height="%g" style="fill:%s;stroke:%s;stroke-width:.5"/>`,
			at+0.5, max(width-1, 0.5), barHeight-1, s.ink.variable(), inkMuted.variable())
		at += width
	}
	if mark > 0 {
		x := barWidth*mark/max(full, 1e-9) + 0.5
		fmt.Fprintf(&b, `<path d="M%.2f 0V%g" style="stroke:%s;stroke-width:2"/>`, x, barHeight+4, inkText.variable())
	}
	b.WriteString(`</svg>`)
	return template.HTML(b.String())
}
