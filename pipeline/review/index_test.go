package review

import (
	"fmt"
	"testing"

	"boutwise/pipeline/tables"
)

// In a large practice the lists name those with whom something is to be done,
// as many as a page bears, and leave the rest to the table of all clients.
func TestLongListsAreCutShort(t *testing.T) {
	var clients []Summary
	for i := range 4 * keptShown {
		week := tables.Week{Monday: asOf.Monday() - 7, Prescribed: ptr(int32(3)), Met: ptr(int32(3 * (i % 2)))}
		id := fmt.Sprintf("c%03d", i)
		clients = append(clients, Summary{
			ClientID: id, Weeks: []tables.Week{week}, Suggestion: "one_more_round", Caution: "Mind.",
			Findings: []tables.Finding{{ClientID: id, Severity: soon, Date: asOf, Message: "m"}},
			Troubled: []tables.File{{Path: id, Status: "refused"}},
		})
	}
	var rows []clientRow
	for _, c := range clients {
		rows = append(rows, rowOf(c, asOf))
	}
	groups := keptGroups(rows)
	if len(groups) != 2 {
		t.Fatalf("got %d groups, want those who did none and those who did all", len(groups))
	}
	none, all := groups[0], groups[1]
	if none.Count != 2*keptShown || len(none.Clients) != keptShown || none.More != keptShown || none.Show != showShort {
		t.Errorf("none: got %d, %d named, %d more, shown by %q", none.Count, len(none.Clients), none.More, none.Show)
	}
	if all.Count != 2*keptShown || len(all.Clients) != 0 || all.More != 2*keptShown {
		t.Errorf("all: got %d, %d named and %d more, want no names", all.Count, len(all.Clients), all.More)
	}
	if steps := viewSteps(rows); steps.Count != len(rows) || len(steps.Clients) != stepsShown || steps.More != len(rows)-stepsShown {
		t.Errorf("steps: got %d, %d named and %d more", steps.Count, len(steps.Clients), steps.More)
	}
	if page, err := Index(IndexData{AsOf: asOf, Clients: clients}); err != nil || len(page.HTML) > 200_000 {
		t.Errorf("page of %d bytes, %v", len(page.HTML), err)
	}
}
