package review

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"boutwise/pipeline/calendar"
	"boutwise/pipeline/tables"
)

// The newest weeks stand first, in a week what was asked together, and each
// line says what came of it.
func TestAnswers(t *testing.T) {
	monday := asOf.Monday()
	sessions := []tables.Session{{ClientID: "c", SessionID: "s1", LocalDate: monday}, {ClientID: "c", SessionID: "s2", LocalDate: monday + 2}}
	answers := []tables.Answer{
		{ClientID: "c", Monday: monday, State: "extra", SessionID: "s9"},
		{ClientID: "c", Monday: monday, Asked: "base", State: "due"},
		{ClientID: "c", Monday: monday, Asked: "base", State: "answered", SessionID: "s1", Met: ptr(false), Shortfall: "too short",
			MinutesAsked: ptr(30.0), MinutesDone: ptr(21.4)},
		{ClientID: "c", Monday: monday, Asked: "intervals", State: "answered", SessionID: "s2", Met: ptr(true), RoundsAsked: ptr(int32(4)),
			RoundsDone: ptr(int32(4)), BoutAsked: ptr(180.0), BoutDone: ptr(181.0), EvenBouts: ptr(int32(3)), JudgedBouts: ptr(int32(4))},
	}
	for back := range calendar.Date(6) {
		answers = append(answers, tables.Answer{ClientID: "c", Monday: monday - 7*(back+1), Asked: "base", State: "missed"})
	}
	weeks := viewAnswers(answers, sessions, "../")
	if len(weeks) != answerWeeks || weeks[0].Monday != monday || weeks[1].Monday != monday-7 {
		t.Fatalf("got %d weeks, want the newest %d, newest first", len(weeks), answerWeeks)
	}
	var got [][]string
	for _, l := range weeks[0].Lines {
		got = append(got, []string{l.Asked, string(l.Link), l.Outcome(), l.Minutes(), l.Rounds(), l.Lengths(), l.Recoveries(), l.Evenly()})
	}
	want := [][]string{
		{"intervals", "../sessions/c/s2.html", "as asked", "–", "4 of 4", "3:01 of 3:00", "–", "3 of 4"},
		{"base", "../sessions/c/s1.html", "not as asked", "21 of 30", "–", "–", "–", "–"},
		{"base", "", "not yet", "–", "–", "–", "–", "–"},
		{"", "", "not asked for", "–", "–", "–", "–", "–"},
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("lines (-want +got):\n%s", diff)
	}
	if got := weeks[1].Lines[0].Outcome(); got != "missed" {
		t.Errorf("last week's: got %q, want missed", got)
	}
}
