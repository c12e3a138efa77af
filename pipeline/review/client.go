package review

import (
	"cmp"
	"fmt"
	"html/template"
	"slices"

	"boutwise/pipeline/practice"
	"boutwise/pipeline/tables"
)

// clientView is what the template of a client's page shows.
type clientView struct {
	frame
	Client     practice.Client
	Progress   *tables.Progress
	Prescribed []string
	Findings   []findingLine
	MoreFound  int // findings that are not shown
	Weeks      weeksView
	Output     *trendView
	OutputKeys []template.HTML // the marks of Output's series
	Drift      *trendView
	Capacities []capacityView
	Sessions   []sessionLine
	Older      []sessionLine
	Troubled   []tables.File
}

const (
	// findingsShown bounds the findings on a client's page; all are in the
	// table of findings.
	findingsShown = 25

	// sessionsShown is how many sessions stand open on the page: about three
	// months of three a week.
	sessionsShown = 40
)

// findingLine is a finding with a link to the session that it is about.
type findingLine struct {
	tables.Finding

	Link template.URL // to the session, or to the client; "" for nowhere

}

// sessionLine is a session's line with its link.
type sessionLine struct {
	SessionLine
	Link   template.URL
	Client string
	Drift  *float64
	Rated  *float64
	HRPct  float64 // of recorded time with a heart rate
}

// Client renders a client's page.
func Client(data ClientData) (Page, error) {
	const up = "../"
	view := clientView{
		frame:    frame{Up: up, Title: nameOf(data.Client)},
		Client:   data.Client,
		Progress: latestProgress(data.Progress),
		Weeks:    viewWeeks(data),
		Troubled: troubled(data.Files),
	}
	if weeks := byMonday(data.Weeks); len(weeks) > 0 {
		for _, p := range prescribedOn(data, weeks[len(weeks)-1].Monday) {
			view.Prescribed = append(view.Prescribed, asked(p))
		}
	}
	view.Findings = findingLines(data.Findings, up)
	if more := len(view.Findings) - findingsShown; more > 0 {
		view.Findings, view.MoreFound = view.Findings[:findingsShown], more
	}
	view.Capacities = viewCapacities(data.Capacities)
	all := sessionLines(data, up)
	split := min(len(all), sessionsShown)
	view.Sessions, view.Older = all[:split], all[split:]
	if err := view.drawTrends(data); err != nil {
		return Page{}, fmt.Errorf("client %s: %w", data.Client.ID, err)
	}
	return render("client", ClientPath(data.Client.ID), view)
}

func (v *clientView) drawTrends(data ClientData) (err error) {
	if v.Output, err = viewOutputTrend(data); err != nil {
		return err
	}
	if v.Output != nil {
		for i := range v.Output.Series {
			key, err := markKey(i)
			if err != nil {
				return err
			}
			v.OutputKeys = append(v.OutputKeys, key)
		}
	}
	v.Drift, err = viewDriftTrend(data)
	return err
}

// nameOf is how pages call a client: by name, or by id without one.
func nameOf(c practice.Client) string { return cmp.Or(c.Name, c.ID) }

func findingLines(findings []tables.Finding, up string) []findingLine {
	var list []findingLine
	for _, f := range bySeverity(findings) {
		l := findingLine{Finding: f}
		if f.SessionID != "" {
			l.Link = sessionLink(up, f.ClientID, f.SessionID)
		}
		list = append(list, l)
	}
	return list
}

func sessionLines(data ClientData, up string) []sessionLine {
	sorted := newestFirst(data.Sessions)
	var list []sessionLine
	for i, l := range lines(data.Sessions, data.Bouts) {
		s := sorted[i]
		list = append(list, sessionLine{
			SessionLine: l, Link: sessionLink(up, s.ClientID, s.SessionID),
			Drift: s.HRDrift, Rated: s.RatedExertion, HRPct: s.HRCoverage,
		})
	}
	return list
}

// capacityView is one estimate with a drawing of its range.
type capacityView struct {
	tables.Capacity
	Name   string
	Unit   string
	Digits int
	Range  template.HTML // "" without a range
}

// capacityNames tells people what a quantity's name means, and its unit.
var capacityNames = map[string]struct {
	name, unit string
	digits     int
}{
	"critical_power_w":             {"critical power", "W", 0},
	"work_above_critical_power_kj": {"work above critical power", "kJ", 1},
	"vo2max_ml_kg_min":             {"maximal oxygen uptake", "mL/kg/min", 1},
}

// viewCapacities keeps the newest estimate of each quantity, in the order of
// their names.
func viewCapacities(rows []tables.Capacity) []capacityView {
	newest := map[string]tables.Capacity{}
	for _, c := range rows {
		if have, known := newest[c.Quantity]; !known || c.AsOf > have.AsOf {
			newest[c.Quantity] = c
		}
	}
	var list []capacityView
	for _, c := range newest {
		v := capacityView{Capacity: c, Name: plain(c.Quantity), Digits: 1}
		if words, known := capacityNames[c.Quantity]; known {
			v.Name, v.Unit, v.Digits = words.name, words.unit, words.digits
		}
		v.Range = rangeBar(c)
		list = append(list, v)
	}
	slices.SortFunc(list, func(a, b capacityView) int { return cmp.Compare(a.Quantity, b.Quantity) })
	return list
}

// rangeBar draws an estimate and its confidence limits on a scale from zero to
// a little above the upper limit, so that a wide range looks wide.
func rangeBar(c tables.Capacity) template.HTML {
	if c.Value == nil || c.Low == nil || c.High == nil || !(*c.High > 0) {
		return ""
	}
	x := func(v float64) float64 { return 1 + (barWidth-2)*max(0, v)/(*c.High*1.05) }
	style := "stroke:" + inkText.variable()
	return template.HTML(fmt.Sprintf(
		`<svg class="bar" viewBox="0 0 %g 14" aria-hidden="true" focusable="false">`+
			`<path d="M1 7H%g" style="stroke:%s"/>`+
			`<path d="M%.2f 7H%.2fM%.2f 3V11M%.2f 3V11" style="%s;stroke-width:1.5"/>`+
			`<circle cx="%.2f" cy="7" r="3.5" style="fill:%s"/></svg>`,
		barWidth, barWidth-1, inkRule.variable(),
		x(*c.Low), x(*c.High), x(*c.Low), x(*c.High), style,
		x(*c.Value), inkText.variable()))
}
