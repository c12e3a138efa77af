package review

import (
	"slices"
	"testing"

	"boutwise/pipeline/calendar"
	"boutwise/pipeline/tables"
)

func TestByAttention(t *testing.T) {
	const asOf = calendar.Date(20000)
	client := func(id string, away calendar.Date, findings ...tables.Finding) Summary {
		return Summary{ClientID: id, Latest: &SessionLine{Day: asOf - away}, Findings: findings}
	}
	clients := []Summary{
		client("quiet", 1),
		client("old finding", 2, tables.Finding{Severity: urgent, Date: asOf - currentDays}),
		client("soon", 3, tables.Finding{Severity: soon, Date: asOf - 5}),
		client("sooner", 3, tables.Finding{Severity: soon, Date: asOf - 1}),
		client("urgent", 4, tables.Finding{Severity: urgent, Date: asOf - 13}),
		{ClientID: "never"},
	}
	var got []string
	for _, c := range ByAttention(clients, asOf) {
		got = append(got, c.ClientID)
	}
	want := []string{"urgent", "sooner", "soon", "never", "old finding", "quiet"}
	if !slices.Equal(got, want) {
		t.Errorf("order %q, want %q", got, want)
	}
	if n := len(clients[1].Current(asOf)); n != 0 {
		t.Errorf("%d findings of two weeks ago are current", n)
	}
}
