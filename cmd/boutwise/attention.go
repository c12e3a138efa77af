package main

import (
	"fmt"
	"strings"

	"boutwise/pipeline/review"
	"boutwise/pipeline/tables"
)

const urgent = "urgent"

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
	return section{len(needy), needyFirst, func(n int) []string {
		if len(st.Clients) == 0 {
			return nil
		}
		verb := "need"
		if len(st.Clients) == 1 || len(needy) == 1 {
			verb = "needs"
		}
		title := fmt.Sprintf("%d of %s %s you", len(needy), plural(len(st.Clients), "client", "clients"), verb)
		if urgents > 0 {
			title += fmt.Sprintf(", %d urgent", urgents)
		}
		if n > 0 {
			title += "; (+n) counts further findings"
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
		text += fmt.Sprintf(" (+%d)", len(found)-1)
	}
	severity := found[0].Severity
	return wrapPainted(s, inkOf(severity), severity, fmt.Sprintf("  %-6s %-6s ", severity, clean(c.ClientID)), clean(text))
}

func inkOf(severity string) ink {
	if severity == urgent {
		return inkAlarm
	}
	return inkWarn
}

// wrapPainted folds text behind a head that begins with a word to be painted.
func wrapPainted(s screen, k ink, word, head, text string) []string {
	lines := wrap(text, head, s.width)
	lines[0] = "  " + s.paint(k, word) + strings.TrimPrefix(lines[0], "  "+word)
	return lines
}
