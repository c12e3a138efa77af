package review

import (
	"fmt"
	"slices"
	"testing"

	"boutwise/pipeline/tables"
)

// The newest client and the newest day stand first; a session that a current
// finding is about is marked with the gravest of them.
func TestArrived(t *testing.T) {
	data := IndexData{AsOf: asOf, Arrived: []SessionLine{
		{ClientID: "a", SessionID: "a1", Day: asOf - 6},
		{ClientID: "a", SessionID: "a0", Day: asOf - 7}, // a week ago: no longer new
		{ClientID: "b", SessionID: "b2", Day: asOf - 1},
		{ClientID: "b", SessionID: "b1", Day: asOf - 1},
		{ClientID: "c", SessionID: "c1", Day: asOf - 1},
		{ClientID: "c", SessionID: "c2", Day: asOf + 1}, // a clock that is ahead
	}}
	rows := []clientRow{
		{Name: "Bea", Summary: Summary{ClientID: "b", Findings: []tables.Finding{
			{ClientID: "b", SessionID: "b1", Severity: soon, Date: asOf - 1},
			{ClientID: "b", SessionID: "b1", Severity: urgent, Date: asOf - 1},
		}}},
		{Name: "Abe", Summary: Summary{ClientID: "c"}},
	}
	got := viewArrived(data, rows)
	if got.Sessions != 4 || len(got.Days) != arrivedDays || got.Days[0] != asOf {
		t.Errorf("got %d sessions in %d days from %v, want 4 in %d from %v", got.Sessions, len(got.Days), got.Days[0], arrivedDays, asOf)
	}
	var names []string
	for _, c := range got.Clients {
		names = append(names, c.Name)
	}
	if want := []string{"Abe", "Bea", "a"}; !slices.Equal(names, want) {
		t.Fatalf("order %q, want %q", names, want)
	}
	of := got.Clients[1].Days[1]
	if len(of) != 2 || of[0].SessionID != "b1" || of[0].Severity != urgent || of[1].Severity != "" {
		t.Errorf("yesterday: got %+v, want the urgent b1, then b2", of)
	}
	if len(got.Clients[2].Days[6]) != 1 {
		t.Errorf("six days ago: got %+v, want one session", got.Clients[2].Days[6])
	}
}

func TestArrivedIsCutShort(t *testing.T) {
	data := IndexData{AsOf: asOf}
	for i := range arrivedShown + 5 {
		data.Arrived = append(data.Arrived, SessionLine{ClientID: fmt.Sprint(i), SessionID: "s", Day: asOf})
	}
	if got := viewArrived(data, nil); len(got.Clients) != arrivedShown || got.More != 5 || got.Sessions != arrivedShown+5 {
		t.Errorf("got %d clients, %d more and %d sessions, want %d, 5 and all", len(got.Clients), got.More, got.Sessions, arrivedShown)
	}
}
