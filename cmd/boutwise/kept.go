package main

import (
	"fmt"
	"slices"

	"boutwise/pipeline/calendar"
	"boutwise/pipeline/review"
	"boutwise/pipeline/tables"
)

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
		table := grid{columns: clientColumns}
		for _, c := range st.Clients {
			table.rows = append(table.rows, clientCells(c, st.AsOf))
		}
		rows, _ := table.lines(s)
		return append(lines, rows...)
	}}
}

var clientColumns = []column{
	{head: "client"}, {head: "needs"}, {head: "last session"}, {head: "was", spare: 2}, {head: "min", right: true, spare: 1},
	{head: "even bouts", right: true}, {head: "last week"}, {head: "this week"},
}

// clientCells are a client's row under clientColumns.
func clientCells(c review.Summary, asOf calendar.Date) []cell {
	row := make([]cell, len(clientColumns))
	row[0].text = clean(c.ClientID)
	if found := c.Current(asOf); len(found) > 0 {
		row[1] = cell{found[0].Severity, inkOf(found[0].Severity)}
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

// weekOf is the week of a Monday; without rows, nothing is known of it.
func weekOf(weeks []tables.Week, monday calendar.Date) (week tables.Week, known bool) {
	at := slices.IndexFunc(weeks, func(w tables.Week) bool { return w.Monday == monday })
	if at < 0 {
		return week, false
	}
	return weeks[at], true
}

// weekText tells what was done of what was asked in the week of a Monday.
func weekText(weeks []tables.Week, monday calendar.Date) string {
	week, known := weekOf(weeks, monday)
	switch {
	case !known:
		return ""
	case week.Prescribed == nil || week.Met == nil:
		return fmt.Sprintf("%d done", week.Sessions)
	}
	return fmt.Sprintf("%d of %d", *week.Met, *week.Prescribed)
}

// keptText counts who did what was asked in the week of a Monday.
func keptText(clients []review.Summary, monday calendar.Date) string {
	var all, part, none, trained int
	for _, c := range clients {
		week, _ := weekOf(c.Weeks, monday)
		if week.Sessions > 0 {
			trained++
		}
		switch {
		case week.Prescribed == nil || week.Met == nil || *week.Prescribed == 0:
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
