package review

import (
	"cmp"
	"fmt"
	"html/template"
	"slices"
	"strings"

	"boutwise/pipeline/tables"
)

// capacityView is one estimate with a drawing of its range.
type capacityView struct {
	tables.Capacity
	Name   string
	Unit   string
	Digits int
	Range  template.HTML // "" without a range
	place  int           // in capacityNames
}

// capacityNames tells people what a quantity's name means, in the order of the
// page.
var capacityNames = []struct {
	quantity, name, unit string
	digits               int
}{
	{"critical_power_w", "critical power", "W", 0},
	{"work_above_critical_power_kj", "work above critical power", "kJ", 1},
	{"power_for_3_min_w", "highest power for 3 min", "W", 0},
	{"power_for_4_min_w", "highest power for 4 min", "W", 0},
	{"power_for_5_min_w", "highest power for 5 min", "W", 0},
	{"power_for_6_min_w", "highest power for 6 min", "W", 0},
	{"power_for_8_min_w", "highest power for 8 min", "W", 0},
	{"vo2max_ml_kg_min", "maximal oxygen uptake", "mL/kg/min", 1},
	{"base_output_trend_pct_per_month", "trend of base output", "% a month", 1},
	{"interval_output_trend_pct_per_month", "trend of interval output", "% a month", 1},
	{"base_hr_drift_trend_points_per_month", "trend of base heart-rate drift", "points a month", 2},
}

// viewCapacities keeps the newest estimate of each quantity: the named ones in
// their order, then others by name.
func viewCapacities(rows []tables.Capacity) []capacityView {
	newest := map[string]tables.Capacity{}
	for _, c := range rows {
		if have, known := newest[c.Quantity]; !known || c.AsOf > have.AsOf {
			newest[c.Quantity] = c
		}
	}
	var list []capacityView
	for _, c := range newest {
		v := capacityView{Capacity: c, Name: plain(c.Quantity), Digits: 1, Range: rangeBar(c), place: len(capacityNames)}
		for i, named := range capacityNames {
			if named.quantity == c.Quantity {
				v.Name, v.Unit, v.Digits, v.place = named.name, named.unit, named.digits, i
			}
		}
		// The first columns say both already.
		v.Evidence = strings.TrimPrefix(strings.TrimPrefix(v.Evidence, v.Name+": "), "no estimate: ")
		list = append(list, v)
	}
	slices.SortFunc(list, func(a, b capacityView) int {
		return cmp.Or(cmp.Compare(a.place, b.place), cmp.Compare(a.Quantity, b.Quantity))
	})
	return list
}

// rangeBar draws an estimate and its confidence limits on a scale that begins
// or passes at zero, marked by a tick, so that a wide range looks wide and one
// that holds zero is seen to.
func rangeBar(c tables.Capacity) template.HTML {
	if c.Value == nil || c.Low == nil || c.High == nil {
		return ""
	}
	left, right := min(0, *c.Low), max(0, *c.High)
	if left == right {
		return ""
	}
	x := func(v float64) float64 { return 5 + (barWidth-10)*(v-left)/(right-left) }
	return template.HTML(fmt.Sprintf(
		`<svg class="bar" viewBox="0 0 %g 20" aria-hidden="true" focusable="false">`+
			`<path d="M5 10H%gM%.2f 1V19" style="stroke:%s"/>`+
			`<path d="M%.2f 10H%.2fM%.2f 5V15M%.2f 5V15" style="stroke:%s;stroke-width:2"/>`+
			`<circle cx="%.2f" cy="10" r="4.5" style="fill:%s"/></svg>`,
		barWidth, barWidth-5, x(0), inkMuted.variable(),
		x(*c.Low), x(*c.High), x(*c.Low), x(*c.High), inkText.variable(),
		x(*c.Value), inkText.variable()))
}
