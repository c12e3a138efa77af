package main

import (
	"fmt"
	"slices"

	"boutwise/pipeline/coach"
	"boutwise/pipeline/review"
)

// stepSection lists what might come next. What to mind before anyone works
// harder stands once, above the suggestions that it goes with; what concerns
// one client stands under that client's. A suggestion is never shown without
// its caution: where there is no room for both, the morning page has both.
func stepSection(s screen, st standing) section {
	steps := stepsOf(st.Clients)
	// Those without the common caution first: they ask for less.
	slices.SortStableFunc(steps, func(a, b review.Summary) int { return len(harderCautionOf(a)) - len(harderCautionOf(b)) })
	return section{len(steps), stepsFirst, func(n int) []string {
		if len(steps) == 0 {
			return nil
		}
		title := plural(len(steps), "client has", "clients have") + " a step to consider; you decide"
		if n == 0 {
			return append([]string{""}, wrap(title+": see the morning page, with what to mind.", "", s.width)...)
		}
		lines := []string{"", s.paint(inkStrong, title+".")}
		told := false
		for _, c := range steps[:n] {
			if harder := harderCautionOf(c); harder != "" && !told {
				lines = append(lines, wrap(clean(harder), "  ! ", s.width)...)
				told = true
			}
			lines = append(lines, stepLines(s, c)...)
		}
		return append(lines, more(n, len(steps), ", each with what to mind, on the morning page")...)
	}}
}

// stepsOf are the clients with a suggestion to change something.
func stepsOf(clients []review.Summary) []review.Summary {
	var steps []review.Summary
	for _, c := range clients {
		if c.Suggestion != "" && c.Suggestion != coach.Hold {
			steps = append(steps, c)
		}
	}
	return steps
}

func harderCautionOf(c review.Summary) string {
	_, harder := coach.SplitCaution(c.Caution)
	return harder
}

func stepLines(s screen, c review.Summary) []string {
	head := fmt.Sprintf("  %-6s ", clean(c.ClientID))
	lines := wrap(clean(words(c.Suggestion)+": "+c.Reason), head, s.width)
	if own, _ := coach.SplitCaution(c.Caution); own != "" {
		lines = append(lines, wrap(clean(c.ClientID+": "+own), "  ! ", s.width)...)
	}
	return lines
}
