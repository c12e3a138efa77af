package main

import (
	"cmp"
	"fmt"
	"io"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"text/tabwriter"

	"boutwise/pipeline"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/tables"
)

// Rules for what is printed: results go to standard output, progress and
// errors to standard error. A summary fits one screen: of long lists the
// beginning is shown, and where the rest is. Errors begin with the program's
// name, have no capital and no full stop, and end with what to do.

// listed is how many lines of a list the summary shows.
const listed = 8

// printSummary says what a run found, for a coach: what came in, what each
// client did of late, what needs a look, and where everything is.
func printSummary(w io.Writer, dir string, sum pipeline.Summary) {
	fmt.Fprintf(w, "\nReview of %s\n\n", sum.AsOf)
	printIntake(w, sum)
	if sum.Refreshed.Clients == 0 {
		fmt.Fprintf(w, "Nothing changed for any client. The tables in %s are up to date.\n", filepath.Join(dir, "out"))
		return
	}
	printClients(w, sum)
	printUnread(w, sum.Files)
	printFindings(w, sum.Findings)
	printSuggestions(w, sum.Progress)
	fmt.Fprintf(w, "\nWhere to look:\n  %-28s the morning page: open it in a browser\n  %-28s one folder a table, for notebooks\n  %-28s the same for a spreadsheet\n",
		filepath.Join(dir, "out", "review", "index.html"), filepath.Join(dir, "out", "parquet"), filepath.Join(dir, "out", "csv"))
}

func printIntake(w io.Writer, sum pipeline.Summary) {
	count := countStatus(sum.Files)
	var parts []string
	for _, status := range []string{"read", "salvaged", "duplicate", "deferred", "refused"} {
		if count[status] > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", count[status], status))
		}
	}
	fmt.Fprintf(w, "Inbox: %d files, %d new or changed.", sum.InInbox, sum.Opened)
	if len(parts) > 0 {
		fmt.Fprintf(w, " Exports of the clients below: %s.", strings.Join(parts, ", "))
	}
	if sum.Vanished > 0 {
		fmt.Fprintf(w, " %d known exports are no longer in the inbox; what they told is kept.", sum.Vanished)
	}
	fmt.Fprintln(w)
}

// printClients shows a line a client.
func printClients(w io.Writer, sum pipeline.Summary) {
	byClient := map[string][]tables.Session{}
	var order []string
	for _, s := range sum.Sessions {
		if byClient[s.ClientID] == nil {
			order = append(order, s.ClientID)
		}
		byClient[s.ClientID] = append(byClient[s.ClientID], s)
	}
	fmt.Fprintf(w, "%d sessions of %d clients brought up to date.\n\n", len(sum.Sessions), len(order))
	if len(order) == 0 {
		return
	}
	table := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(table, "  client\tsessions\tlatest\twas\tof it min\tbouts\teven\tlast 4 weeks")
	for _, client := range order {
		clientLine(table, byClient[client], sum.Bouts, sum.AsOf)
	}
	table.Flush()
}

func clientLine(w io.Writer, sessions []tables.Session, bouts []tables.Bout, asOf calendar.Date) {
	last := sessions[len(sessions)-1]
	recent := 0
	for _, s := range sessions {
		if s.LocalDate > asOf-28 && s.LocalDate <= asOf {
			recent++
		}
	}
	even, judged := 0, 0
	for _, b := range bouts {
		if b.ClientID == last.ClientID && b.Confidence == "confirmed" && b.Pacing != "" {
			judged++
			if b.Pacing == "even" {
				even++
			}
		}
	}
	share := "-"
	if judged > 0 {
		share = fmt.Sprintf("%d of %d", even, judged)
	}
	fmt.Fprintf(w, "  %s\t%d\t%s\t%s\t%.0f\t%d\t%s\t%d sessions\n", last.ClientID, len(sessions), last.LocalDate,
		words(last.Kind), last.RecordedS/60, last.Bouts, share, recent)
}

// printUnread lists what was refused, salvaged or left for the next run.
func printUnread(w io.Writer, files []tables.File) {
	var lines []string
	for _, f := range files {
		switch f.Status {
		case "refused", "salvaged", "deferred":
			lines = append(lines, fmt.Sprintf("  %-8s %s: %s", f.Status, f.Path, f.Reason))
		}
	}
	printList(w, "Exports that need a look:", lines, "the files table")
}

func printFindings(w io.Writer, findings []tables.Finding) {
	order := []string{"urgent", "soon", "note"}
	sorted := slices.Clone(findings)
	slices.SortStableFunc(sorted, func(a, b tables.Finding) int {
		return cmp.Or(
			slices.Index(order, a.Severity)-slices.Index(order, b.Severity),
			cmp.Compare(b.Date, a.Date), // the latest first
		)
	})
	var lines []string
	for _, f := range sorted {
		lines = append(lines, fmt.Sprintf("  %-6s %s, %s: %s", f.Severity, f.ClientID, f.Date, f.Message))
	}
	printList(w, "Findings:", lines, "the findings table")
}

// printSuggestions lists what might come next, and below it, once, what to
// mind before anyone works harder.
func printSuggestions(w io.Writer, progress []tables.Progress) {
	var lines []string
	cautions := map[string]bool{}
	for _, p := range progress {
		if p.Suggestion == "hold" {
			continue
		}
		lines = append(lines, fmt.Sprintf("  %s, %s: %s. %s", p.ClientID, words(p.Stage), words(p.Suggestion), p.Reason))
		if p.Caution != "" {
			cautions[p.Caution] = true
		}
	}
	printList(w, "Steps to consider; you decide:", lines, "the progress table")
	for _, caution := range slices.Sorted(maps.Keys(cautions)) {
		fmt.Fprintln(w, wrap(caution, "    ", lineWidth))
	}
}

// words writes a fixed name as a person would.
func words(name string) string { return strings.ReplaceAll(name, "_", " ") }

func printList(w io.Writer, title string, lines []string, rest string) {
	if len(lines) == 0 {
		return
	}
	fmt.Fprintf(w, "\n%s\n", title)
	for _, line := range lines[:min(listed, len(lines))] {
		fmt.Fprintln(w, line)
	}
	if len(lines) > listed {
		fmt.Fprintf(w, "  and %d more in %s\n", len(lines)-listed, rest)
	}
}
