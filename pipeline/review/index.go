package review

import (
	"cmp"
	"fmt"
	"html/template"
	"slices"
	"strings"

	"boutwise/pipeline/calendar"
	"boutwise/pipeline/coach"
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
	Glance    []glance
	Attention []attentionView // shown open
	AlsoSoon  []attentionView // the rest, folded
	Arrived   arrivedView
	LastWeek  string
	Kept      []keptGroup
	Steps     stepsView
	Troubled  []tables.File
	Unlisted  int // troubled exports that are not in Troubled
	Clients   []clientRow
}

// glance is one figure of the head of the page, and where it is explained.
type glance struct {
	Figure string
	Words  string
	Link   template.URL
}

// attentionView is a client who needs the coach, and why.
type attentionView struct {
	clientRow
	Findings []findingLine
}

// keptGroup is the clients who did equally well what last week asked of them.
type keptGroup struct {
	What    string
	Count   int
	Clients []keptClient // the first of them
	More    int          // who are not in Clients
	Show    string       // what the table of all clients shows them by
}

type keptClient struct {
	Name string
	Link template.URL
	Kept string
}

// clientRow is a client's line in the table, with the values it sorts by.
type clientRow struct {
	Summary
	Name       string
	Link       template.URL
	Severity   string // the gravest current finding's: urgent, soon or ""
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

// How much stands open on the page. A practice of a few dozen clients is seen
// whole; in one of a thousand the lists would bury what matters, so that the
// rest is folded or left to the table of all clients.
const (
	attentionShown = 25
	keptShown      = 25
	troubledShown  = 25
)

// What the table of all clients can be asked to show; the page's script knows
// the same words.
const (
	showAttention = "attention"
	showShort     = "short"
	showSteps     = "steps"
)

// Index renders the morning page.
func Index(data IndexData) (Page, error) {
	lastMonday := data.AsOf.Monday() - 7
	view := indexView{
		frame:    frame{Title: "Review of " + day(data.AsOf)},
		LastWeek: fmt.Sprintf("%s, %s to %s", lastMonday.ISOWeek(), shortDay(lastMonday.Time()), shortDay((lastMonday + 6).Time())),
	}
	var notRead []tables.File
	for _, c := range data.Clients {
		view.Clients = append(view.Clients, rowOf(c, data.AsOf))
		notRead = append(notRead, c.Troubled...)
	}
	sortRows(view.Clients)
	for _, row := range view.Clients {
		if row.Severity != "" {
			found := findingLines(currentFindings(row.Summary, data.AsOf), "")
			view.Attention = append(view.Attention, attentionView{row, found})
		}
	}
	view.Arrived = viewArrived(data, view.Clients)
	view.Kept = keptGroups(view.Clients)
	view.Steps = viewSteps(view.Clients)
	view.Troubled = Troubled(append(notRead, data.Unplaced...))
	view.Glance = view.atAGlance()

	view.Attention, view.AlsoSoon = cut(view.Attention, attentionShown)
	var unlisted []tables.File
	view.Troubled, unlisted = cut(view.Troubled, troubledShown)
	view.Unlisted = len(unlisted)
	return render("index", "index.html", view)
}

// cut parts a list after its first n.
func cut[T any](list []T, n int) (first, rest []T) {
	n = min(n, len(list))
	return list[:n], list[n:]
}

// atAGlance says in figures what the sections say in full.
func (v *indexView) atAGlance() []glance {
	urgents, did, asked := 0, 0, 0
	for _, c := range v.Clients {
		if c.Severity == urgent {
			urgents++
		}
		if c.LastWeek.Share >= 0 {
			asked++
		}
		if c.LastWeek.Share >= 1 {
			did++
		}
	}
	attention := "need attention"
	if len(v.Attention) == 1 {
		attention = "needs attention"
	}
	if urgents > 0 {
		attention += fmt.Sprintf(", %d at once", urgents)
	}
	return []glance{
		{fmt.Sprint(len(v.Attention)), attention, "#attention"},
		{fmt.Sprint(v.Arrived.Sessions), noun(v.Arrived.Sessions, "session") + " came in, in seven days", "#arrived"},
		{outOf(did, asked), "did all that last week asked", "#kept"},
		{fmt.Sprint(v.Steps.Count), noun(v.Steps.Count, "step") + " to consider", "#steps"},
		{fmt.Sprint(len(v.Troubled)), noun(len(v.Troubled), "export") + " not read whole", "#troubled"},
		{fmt.Sprint(len(v.Clients)), noun(len(v.Clients), "client"), "#clients"},
	}
}

// sortRows puts those first who need attention first, then those who have been
// away longest.
func sortRows(rows []clientRow) {
	slices.SortStableFunc(rows, func(a, b clientRow) int {
		return cmp.Or(cmp.Compare(a.Rank(), b.Rank()), cmp.Compare(newestFinding(b), newestFinding(a)),
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
		if coach.Lasts(f) || asOf-f.Date < currentDays {
			found = append(found, f)
		}
	}
	return bySeverity(found)
}

func rowOf(c Summary, asOf calendar.Date) clientRow {
	row := clientRow{
		Summary: c, Name: cmp.Or(c.Name, c.ClientID), Link: clientLink("", c.ClientID),
		Since: never, EvenPct: -1, EvenText: absent,
	}
	if found := currentFindings(c, asOf); len(found) > 0 {
		row.Severity = found[0].Severity
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

// keptGroups parts the clients by what they did of last week's prescription,
// the least first: they are the ones to ask.
func keptGroups(rows []clientRow) []keptGroup {
	groups := []keptGroup{
		{What: "None of it", Show: showShort}, {What: "Part of it", Show: showShort},
		{What: "All of it"}, {What: "Nothing prescribed"},
	}
	for _, r := range rows {
		client := keptClient{r.Name, r.Link, r.LastWeek.Text}
		to := 1
		switch share := r.LastWeek.Share; {
		case share < 0:
			to, client.Kept = 3, ""
		case share == 0:
			to = 0
		case share >= 1:
			to = 2
		}
		groups[to].Clients = append(groups[to].Clients, client)
	}
	for i := range groups {
		g := &groups[i]
		slices.SortStableFunc(g.Clients, func(a, b keptClient) int { return strings.Compare(a.Name, b.Name) })
		g.Count = len(g.Clients)
		if g.Show == "" && g.Count > keptShown {
			g.Clients = nil // so many with whom all is well need no names
		}
		g.Clients, _ = cut(g.Clients, keptShown)
		g.More = g.Count - len(g.Clients)
	}
	return slices.DeleteFunc(groups, func(g keptGroup) bool { return g.Count == 0 })
}

// Rank is what the column of attention sorts by: the gravest first, and
// nothing for those who need none.
func (r clientRow) Rank() int {
	if i := slices.Index([]string{urgent, soon}, r.Severity); i >= 0 {
		return i
	}
	return 2
}

// Shown lists what the table of all clients shows the row by.
func (r clientRow) Shown() string {
	var list []string
	if r.Severity != "" {
		list = append(list, showAttention)
	}
	if r.LastWeek.Share >= 0 && r.LastWeek.Share < 1 {
		list = append(list, showShort)
	}
	if r.Step() {
		list = append(list, showSteps)
	}
	return strings.Join(list, " ")
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

// Step tells whether the suggestion is to change something.
func (r clientRow) Step() bool { return r.Suggestion != "" && r.Suggestion != hold }
