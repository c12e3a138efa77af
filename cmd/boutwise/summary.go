package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"boutwise/pipeline/calendar"
)

// How many items of a section come before any more of the next one's: all
// that a small practice has of an ordinary morning.
const (
	needyFirst    = 5
	stepsFirst    = 3
	troubledFirst = 1
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
