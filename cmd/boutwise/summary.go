package main

import (
	"cmp"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"boutwise/pipeline/calendar"
	"boutwise/pipeline/review"
	"boutwise/pipeline/tables"
)

// The words of the tables that the summary decides by.
const (
	urgent = "urgent"

	refused  = "refused"
	deferred = "deferred"
	salvaged = "salvaged"
)

// printSummary says what a run found, for a coach: what came in, who needs
// them first and why, who did what was asked, what might come next, what could
// not be read. It fits one screen however many clients there are; the morning
// page has the rest. Clients go by their id, so that a mail names nobody.
func printSummary(c *console, dir string, st standing) {
	s := c.screen
	top := append([]string{"", s.paint(inkStrong, "Review of "+longDay(st.AsOf))}, intake(s, st)...)
	if st.read && st.InInbox == 0 {
		top = append(top, wrap("Put each client's exports into "+clean(filepath.Join(dir, "inbox", "CLIENT_ID"))+".", "", s.width)...)
	}
	end := []string{"", "Morning page: " + clean(filepath.Join(dir, "out", "review", "index.html")),
		"Tables:       " + clean(filepath.Join(dir, "out", "parquet")) + ", and as CSV in " + clean(filepath.Join(dir, "out", "csv"))}
	// The prompt needs a row, and a cut-off first line helps nobody.
	room := s.rows - len(top) - len(end) - 1
	parts := fit(room, attentionSection(s, st), stepSection(s, st), exportSection(s, st), clientSection(s, st))
	c.say(top...)
	for _, i := range []int{0, 3, 1, 2} {
		c.say(parts[i]...)
	}
	c.say(end...)
}

// longDay writes a day with its weekday.
func longDay(d calendar.Date) string { return d.Time().Format("Monday 2 January 2006") }

// intake tells what came in and what the run did with it.
func intake(s screen, st standing) []string {
	did := "all tables are up to date"
	if st.Refreshed.Clients > 0 {
		did = plural(st.Refreshed.Sessions, "session", "sessions") + " brought up to date"
	}
	text := fmt.Sprintf("%s in the inbox, %d new or changed; %s.", plural(st.InInbox, "file", "files"), st.Opened, did)
	if !st.read {
		text = fmt.Sprintf("No export opened; %s; %s of out/ rewritten.", did, plural(st.Refreshed.Files, "file", "files"))
	}
	lines := wrap(text, "", s.width)
	if counts := countText(st.Exports); counts != "" {
		lines = append(lines, wrap("Exports in all: "+counts+".", "", s.width)...)
	}
	if st.Vanished > 0 {
		lines = append(lines, wrap(plural(st.Vanished, "known export is", "known exports are")+
			" no longer in the inbox; what they told is kept.", "", s.width)...)
	}
	return lines
}

// countText writes how many exports have each status.
func countText(counts map[string]int) string {
	var parts []string
	for _, status := range []string{"read", salvaged, "duplicate", deferred, refused} {
		if n := counts[status]; n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", n, status))
		}
	}
	return strings.Join(parts, ", ")
}

// more says what a section leaves out.
func more(n, all int, rest string) []string {
	if n == all {
		return nil
	}
	return []string{fmt.Sprintf("  and %d more%s", all-n, rest)}
}

// attentionSection lists who needs the coach, and the gravest reason.
func attentionSection(s screen, st standing) section {
	var needy []review.Summary
	urgents := 0
	for _, c := range st.Clients {
		if found := c.Current(st.AsOf); len(found) > 0 {
			needy = append(needy, c)
			if found[0].Severity == urgent {
				urgents++
			}
		}
	}
	return section{len(needy), 5, func(n int) []string {
		if len(st.Clients) == 0 {
			return nil
		}
		title := fmt.Sprintf("%d of %s need you", len(needy), plural(len(st.Clients), "client", "clients"))
		if urgents > 0 {
			title += fmt.Sprintf(", %d at once", urgents)
		}
		lines := []string{"", s.paint(inkStrong, title+".")}
		for _, c := range needy[:n] {
			lines = append(lines, attentionLines(s, c, c.Current(st.AsOf))...)
		}
		if n == 0 {
			return lines
		}
		return append(lines, more(n, len(needy), "; the morning page lists them")...)
	}}
}

func attentionLines(s screen, c review.Summary, found []tables.Finding) []string {
	text := found[0].Message
	if len(found) > 1 {
		text += fmt.Sprintf(" (and %d more)", len(found)-1)
	}
	severity := found[0].Severity
	k := inkWarn
	if severity == urgent {
		k = inkAlarm
	}
	return wrapPainted(s, k, severity, fmt.Sprintf("  %-7s %-7s ", severity, clean(c.ClientID)), clean(text))
}

// wrapPainted folds text behind a head that begins with a word to be painted.
func wrapPainted(s screen, k ink, word, head, text string) []string {
	lines := wrap(text, head, s.width)
	lines[0] = "  " + s.paint(k, word) + strings.TrimPrefix(lines[0], "  "+word)
	return lines
}

// clientSection counts who did what was asked, and where there is room for all
// of them shows a line a client.
func clientSection(s screen, st standing) section {
	return section{min(1, len(st.Clients)), 0, func(n int) []string {
		if len(st.Clients) == 0 {
			return nil
		}
		lines := append([]string{""}, wrap(keptText(st.Clients, st.AsOf.Monday()-7), "", s.width)...)
		if n == 0 {
			return lines
		}
		table := grid{columns: []column{
			{head: "client"}, {head: "needs"}, {head: "last session"}, {head: "was", spare: 2}, {head: "min", right: true, spare: 1},
			{head: "even bouts", right: true}, {head: "last week"}, {head: "this week"},
		}}
		for _, c := range st.Clients {
			table.rows = append(table.rows, clientCells(c, st.AsOf))
		}
		rows, _ := table.lines(s)
		return append(lines, rows...)
	}}
}

func clientCells(c review.Summary, asOf calendar.Date) []cell {
	row := make([]cell, 8)
	row[0].text = clean(c.ClientID)
	if found := c.Current(asOf); len(found) > 0 {
		row[1] = cell{found[0].Severity, inkWarn}
		if found[0].Severity == urgent {
			row[1].ink = inkAlarm
		}
	}
	row[2].text = "none"
	if l := c.Latest; l != nil {
		row[2].text, row[3].text, row[4].text = lately(l.Day, asOf), words(l.Kind), fmt.Sprintf("%.0f", l.Minutes)
	}
	if c.Bouts > 0 {
		row[5].text = fmt.Sprintf("%d of %d", c.Even, c.Bouts)
	}
	row[6].text = weekText(c.Weeks, asOf.Monday()-7)
	row[7].text = weekText(c.Weeks, asOf.Monday())
	return row
}

// lately says how many days ago a day was, where that is easier to grasp than
// the day itself.
func lately(day, asOf calendar.Date) string {
	switch days := asOf - day; {
	case days == 0:
		return "today"
	case days == 1:
		return "yesterday"
	case days > 1 && days < 60:
		return fmt.Sprintf("%d days ago", days)
	}
	return day.String()
}

// weekText tells what was done of what was asked in the week of a Monday.
func weekText(weeks []tables.Week, monday calendar.Date) string {
	for _, w := range weeks {
		if w.Monday != monday {
			continue
		}
		if w.Prescribed == nil || w.Met == nil {
			return fmt.Sprintf("%d done", w.Sessions)
		}
		return fmt.Sprintf("%d of %d", *w.Met, *w.Prescribed)
	}
	return ""
}

// keptText counts who did what was asked in the week of a Monday.
func keptText(clients []review.Summary, monday calendar.Date) string {
	var all, part, none, trained int
	for _, c := range clients {
		at := slices.IndexFunc(c.Weeks, func(w tables.Week) bool { return w.Monday == monday })
		if at < 0 {
			continue
		}
		week := c.Weeks[at]
		if week.Sessions > 0 {
			trained++
		}
		switch {
		case week.Prescribed == nil || week.Met == nil:
		case *week.Met >= *week.Prescribed:
			all++
		case *week.Met > 0:
			part++
		default:
			none++
		}
	}
	head, asked := "Last week, "+monday.ISOWeek()+": ", all+part+none
	if asked == 0 {
		return head + fmt.Sprintf("%d of %s trained; nothing was prescribed.", trained, plural(len(clients), "client", "clients"))
	}
	text := head + fmt.Sprintf("%d did all that was asked, %d part of it, %d nothing", all, part, none)
	if rest := len(clients) - asked; rest > 0 {
		text += fmt.Sprintf("; %d had no prescription", rest)
	}
	return text + "."
}

// troubledOf gathers the exports that were refused, left for the next run or
// salvaged: in this order, of each the newest first.
func troubledOf(st standing) []tables.File {
	list := slices.Clone(st.Unplaced)
	for _, c := range st.Clients {
		list = append(list, c.Troubled...)
	}
	order := []string{refused, deferred, salvaged}
	slices.SortStableFunc(list, func(a, b tables.File) int {
		return cmp.Or(cmp.Compare(slices.Index(order, a.Status), slices.Index(order, b.Status)),
			cmp.Compare(unixOf(b), unixOf(a)), cmp.Compare(a.Path, b.Path))
	})
	return list
}

// exportSection lists the exports that need a look.
func exportSection(s screen, st standing) section {
	list := troubledOf(st)
	return section{len(list), 1, func(n int) []string {
		if len(list) == 0 {
			return nil
		}
		title := plural(len(list), "export needs", "exports need") + " a look"
		if n == 0 {
			counts := map[string]int{}
			for _, f := range list {
				counts[f.Status]++
			}
			return append([]string{""}, wrap(fmt.Sprintf("%s: %s. The morning page says why.", title, countText(counts)), "", s.width)...)
		}
		lines := []string{"", s.paint(inkStrong, title+".")}
		for _, f := range list[:n] {
			lines = append(lines, wrapPainted(s, inkWarn, f.Status, fmt.Sprintf("  %-9s ", f.Status), clean(f.Path+": "+f.Reason))...)
		}
		return append(lines, more(n, len(list), " in the files table")...)
	}}
}

func unixOf(f tables.File) int64 {
	if f.StartedUTC == nil {
		return 0
	}
	return f.StartedUTC.Unix()
}
