package review

import (
	"cmp"
	"fmt"
	"html/template"
	"slices"
	"strconv"

	"boutwise/pipeline/coach"
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
	Answers    []answerWeek
	Weeks      weeksView
	Output     *trendView
	OutputKeys []template.HTML // the marks of Output's series
	Drift      *trendView
	Capacities []capacityView
	Sessions   sessionList
	Older      sessionList
	Doubtful   bool // some drift in the list of sessions is in doubt
	Troubled   []tables.File
}

// sessionsShown is how many sessions stand open on the page: about three
// months of three a week.
const sessionsShown = 40

// sessionLine is a session's line with its link.
type sessionLine struct {
	SessionLine
	Link  template.URL
	Drift *float64
	Rated *float64
	HRPct float64 // of recorded time with a heart rate

	Severity string // of the gravest urgent or pressing finding about it; "" for none
	Doubtful bool   // a finding doubts a sensor
}

// Client renders a client's page.
func Client(data ClientData) (Page, error) {
	const up = "../"
	view := clientView{
		frame:    frame{Up: up, Title: nameOf(data.Client)},
		Client:   data.Client,
		Progress: latestProgress(data.Progress),
		Answers:  viewAnswers(data.Answers, data.Sessions, up),
		Weeks:    viewWeeks(data),
		Troubled: Troubled(data.Files),
	}
	if weeks := byMonday(data.Weeks); len(weeks) > 0 {
		for _, p := range prescribedOn(data, weeks[len(weeks)-1].Monday) {
			view.Prescribed = append(view.Prescribed, asked(p))
		}
	}
	view.Findings = findingLines(data.Findings, up)
	view.Capacities = viewCapacities(data.Capacities)
	list := sessionLines(data, up)
	view.Doubtful = slices.ContainsFunc(list, sessionLine.driftInDoubt)
	view.Sessions, view.Older = cut(list, sessionsShown)
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

// sessionList is a table of sessions. A client of ten years has some fifteen
// hundred.
type sessionList []sessionLine

// Rows are its lines.
func (l sessionList) Rows() template.HTML { return rowsOf(l) }

func (l sessionLine) write(row *markup) {
	row.raw(`<tr><th scope="row"><a href="`)
	row.text(string(l.Link))
	row.raw(`">`, day(l.Day), `</a>`)
	if l.Severity != "" {
		row.raw(" ", string(sign(l.Severity)))
	}
	row.raw(`</th><td class="kind">`)
	row.text(plain(l.Kind))
	row.raw(`</td>`)
	row.word(l.Sport)
	row.figure(whole(l.Minutes))
	row.figure(strconv.Itoa(l.Bouts))
	if l.Paced > 0 {
		row.figure(outOf(l.Even, l.Paced))
	} else {
		row.figure(absent)
	}
	if l.driftInDoubt() {
		row.figure(num(1, l.Drift) + "\u00a0?")
	} else {
		row.figure(num(1, l.Drift))
	}
	row.figure(whole(l.Rated))
	row.figure(whole(l.HRPct))
	row.raw(`</tr>`)
}

func sessionLines(data ClientData, up string) []sessionLine {
	sorted := newestFirst(data.Sessions)
	severity := map[string]string{}
	for _, f := range slices.Backward(bySeverity(data.Findings)) { // the gravest last: it stays
		if f.Severity != note {
			severity[f.SessionID] = f.Severity
		}
	}
	var list []sessionLine
	doubts := doubtful(data.Findings)
	for i, l := range lines(sorted, data.Bouts) {
		s := sorted[i]
		list = append(list, sessionLine{
			SessionLine: l, Link: sessionLink(up, s.ClientID, s.SessionID),
			Drift: s.HRDrift, Rated: s.RatedExertion, HRPct: s.HRCoverage,
			Severity: severity[s.SessionID], Doubtful: doubts[s.SessionID],
		})
	}
	return list
}

// driftInDoubt tells a drift that a sensor in doubt stands behind.
func (l sessionLine) driftInDoubt() bool { return l.Doubtful && l.Drift != nil }

// doubtful are the sessions of which a finding doubts a sensor. What rests on
// it is shown and marked, never followed over time.
func doubtful(findings []tables.Finding) map[string]bool {
	doubts := map[string]bool{}
	for _, f := range findings {
		if f.Finding == coach.SensorTrouble {
			doubts[f.SessionID] = true
		}
	}
	return doubts
}
