package main

import (
	"cmp"
	"slices"

	"boutwise/pipeline"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/review"
	"boutwise/pipeline/tables"
)

// standing is what the summary shows: what the run did, and where the practice
// stands after it, with the clients who need the coach first.
type standing struct{ pipeline.Summary }

func standingOf(sum pipeline.Summary) standing {
	sum.Clients = slices.Clone(sum.Clients)
	byAttention(sum.Clients, sum.AsOf)
	return standing{sum}
}

// byAttention sorts those who need the coach first.
func byAttention(clients []review.Summary, asOf calendar.Date) {
	type key struct{ rank, newest, latest int }
	keyOf := func(c review.Summary) key {
		k := key{rank: 2}
		if c.Latest != nil {
			k.latest = int(c.Latest.Day)
		}
		if found := currentFindings(c, asOf); len(found) > 0 {
			k.rank, k.newest = 1, int(found[0].Date)
			if found[0].Severity == "urgent" {
				k.rank = 0
			}
		}
		return k
	}
	slices.SortFunc(clients, func(a, b review.Summary) int {
		x, y := keyOf(a), keyOf(b)
		return cmp.Or(cmp.Compare(x.rank, y.rank), cmp.Compare(y.newest, x.newest),
			cmp.Compare(x.latest, y.latest), cmp.Compare(a.ClientID, b.ClientID))
	})
}

// currentFindings are the urgent and soon findings of the last two weeks,
// gravest and newest first.
func currentFindings(c review.Summary, asOf calendar.Date) []tables.Finding {
	var found []tables.Finding
	for _, f := range c.Findings {
		if asOf-f.Date < 14 {
			found = append(found, f)
		}
	}
	return found
}
