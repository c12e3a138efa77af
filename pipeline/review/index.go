package review

import (
	"cmp"
	"fmt"
	"html/template"
	"slices"
	"strings"

	"boutwise/pipeline/calendar"
	"boutwise/pipeline/tables"
)

// frame is what every page has.
type frame struct {
	Up    string // from the page to the review's folder
	Title string
}

// indexView is what the template of the morning page shows.
type indexView struct {
	frame
	AsOf      calendar.Date
	LastWeek  string
	Attention []attentionView
	Arrived   []sessionLine
	Kept      []keptGroup
	Steps     []stepGroup
	Troubled  []tables.File
	Clients   []clientRow
}

// attentionView is a client who needs the coach, and why.
type attentionView struct {
	Name     string
	Link     template.URL
	Findings []findingLine
}

// keptGroup is the clients who did equally well what last week asked of them.
type keptGroup struct {
	What    string
	Clients []keptClient
}

type keptClient struct {
	Name string
	Link template.URL
	Kept string
}

// stepGroup is the clients with a suggestion under one caution: the caution is
// read once, before the names.
type stepGroup struct {
	Caution string
	Clients []clientRow
}

// clientRow is a client's line in the table, with the values it sorts by.
type clientRow struct {
	Summary
	Name       string
	Link       template.URL
	Severity   string // the gravest current finding's: urgent, soon or ""
	Rank       int    // 0 urgent, 1 soon, 2 neither
	Since      int    // days since the latest session; never without one
	LatestLink template.URL
	ThisWeek   weekCount
	LastWeek   weekCount
	EvenPct    float64 // to sort by; -1 where no bout has a pacing
	EvenText   string
}

// weekCount is sessions met of those prescribed, and minutes.
type weekCount struct {
	Text    string
	Share   float64 // to sort by; -1 without a prescription
	Minutes float64
}

// currentDays is for how many days a finding keeps a client among those who
// need attention: a coach who was away for a week still sees it.
const currentDays = 14

// never is more days than anybody has been away.
const never = 99999

// Index renders the morning page.
func Index(data IndexData) (Page, error) {
	lastMonday := data.AsOf.Monday() - 7
	view := indexView{
		frame: frame{Title: "Review of " + day(data.AsOf)},
		AsOf:  data.AsOf, LastWeek: lastMonday.ISOWeek(),
	}
	names := map[string]string{}
	for _, c := range data.Clients {
		name := cmp.Or(c.Name, c.ClientID)
		names[c.ClientID] = name
		view.Clients = append(view.Clients, rowOf(c, name, data.AsOf))
		view.Troubled = append(view.Troubled, c.Troubled...)
	}
	sortRows(view.Clients)
	for _, row := range view.Clients {
		if found := currentFindings(row.Summary, data.AsOf); len(found) > 0 {
			view.Attention = append(view.Attention, attentionView{row.Name, row.Link, findingLines(found, "")})
		}
	}
	view.Kept = keptGroups(view.Clients, lastMonday)
	view.Steps = stepGroups(view.Clients)
	view.Arrived = arrivedLines(data.Arrived, names)
	view.Troubled = troubled(append(view.Troubled, data.Unplaced...))
	return render("index", "index.html", view)
}

// sortRows puts those first who need attention first, then those who have been
// away longest.
func sortRows(rows []clientRow) {
	slices.SortStableFunc(rows, func(a, b clientRow) int {
		return cmp.Or(cmp.Compare(a.Rank, b.Rank), cmp.Compare(newestFinding(b), newestFinding(a)),
			cmp.Compare(b.Since, a.Since), strings.Compare(a.Name, b.Name), strings.Compare(a.ClientID, b.ClientID))
	})
}

// newestFinding is the day of the newest finding of the row's severity; the
// zero day without one.
func newestFinding(r clientRow) calendar.Date {
	var newest calendar.Date
	for _, f := range r.Findings {
		if f.Severity == r.Severity {
			newest = max(newest, f.Date)
		}
	}
	return newest
}

func currentFindings(c Summary, asOf calendar.Date) []tables.Finding {
	var found []tables.Finding
	for _, f := range c.Findings {
		if asOf-f.Date < currentDays {
			found = append(found, f)
		}
	}
	return bySeverity(found)
}

func rowOf(c Summary, name string, asOf calendar.Date) clientRow {
	row := clientRow{Summary: c, Name: name, Link: clientLink("", c.ClientID), Rank: 2, Since: never, EvenPct: -1, EvenText: absent}
	if found := currentFindings(c, asOf); len(found) > 0 {
		row.Severity = found[0].Severity
		row.Rank = 1
		if row.Severity == urgent {
			row.Rank = 0
		}
	}
	if c.Latest != nil {
		row.Since = int(asOf - c.Latest.Day)
		row.LatestLink = sessionLink("", c.ClientID, c.Latest.SessionID)
	}
	row.ThisWeek = countOf(c.Weeks, asOf.Monday())
	row.LastWeek = countOf(c.Weeks, asOf.Monday()-7)
	if c.Bouts > 0 {
		row.EvenPct = 100 * float64(c.Even) / float64(c.Bouts)
		row.EvenText = outOf(c.Even, c.Bouts)
	}
	return row
}

// countOf finds the week that begins on monday.
func countOf(weeks []tables.Week, monday calendar.Date) weekCount {
	for _, w := range weeks {
		if w.Monday != monday {
			continue
		}
		if w.Prescribed == nil || w.Met == nil {
			return weekCount{Text: plural(int(w.Sessions), "session"), Share: -1, Minutes: w.Minutes}
		}
		count := weekCount{Text: outOf(int(*w.Met), int(*w.Prescribed)), Minutes: w.Minutes}
		if *w.Prescribed > 0 {
			count.Share = float64(*w.Met) / float64(*w.Prescribed)
		}
		return count
	}
	return weekCount{Text: absent, Share: -1}
}

// keptGroups parts the clients by what they did of last week's prescription.
func keptGroups(rows []clientRow, monday calendar.Date) []keptGroup {
	groups := []keptGroup{
		{What: "All that was asked"}, {What: "Part of it"}, {What: "None of it"}, {What: "Nothing prescribed"},
	}
	for _, r := range rows {
		client := keptClient{r.Name, r.Link, r.LastWeek.Text}
		to := 1
		switch share := r.LastWeek.Share; {
		case share < 0:
			to, client.Kept = 3, ""
		case share == 0:
			to = 2
		case share >= 1:
			to = 0
		}
		groups[to].Clients = append(groups[to].Clients, client)
	}
	for _, g := range groups {
		slices.SortStableFunc(g.Clients, func(a, b keptClient) int { return strings.Compare(a.Name, b.Name) })
	}
	return slices.DeleteFunc(groups, func(g keptGroup) bool { return len(g.Clients) == 0 })
}

// stepGroups gathers the suggestions that carry a caution, those under the
// commonest caution first.
func stepGroups(rows []clientRow) []stepGroup {
	var groups []stepGroup
	for _, r := range rows {
		if r.Caution == "" {
			continue
		}
		at := slices.IndexFunc(groups, func(g stepGroup) bool { return g.Caution == r.Caution })
		if at < 0 {
			at = len(groups)
			groups = append(groups, stepGroup{Caution: r.Caution})
		}
		groups[at].Clients = append(groups[at].Clients, r)
	}
	slices.SortStableFunc(groups, func(a, b stepGroup) int {
		return cmp.Or(cmp.Compare(len(b.Clients), len(a.Clients)), strings.Compare(a.Caution, b.Caution))
	})
	return groups
}

func arrivedLines(arrived []SessionLine, names map[string]string) []sessionLine {
	var list []sessionLine
	for _, l := range arrived {
		list = append(list, sessionLine{
			SessionLine: l, Client: cmp.Or(names[l.ClientID], l.ClientID),
			Link: sessionLink("", l.ClientID, l.SessionID),
		})
	}
	slices.SortStableFunc(list, func(a, b sessionLine) int {
		return cmp.Or(cmp.Compare(b.Day, a.Day), strings.Compare(a.Client, b.Client), strings.Compare(b.SessionID, a.SessionID))
	})
	return list
}

// Ago says in words how long ago a client's latest session was.
func (r clientRow) Ago() string {
	switch r.Since {
	case never:
		return "never"
	case 0:
		return "today"
	case 1:
		return "yesterday"
	}
	return fmt.Sprintf("%d days ago", r.Since)
}
