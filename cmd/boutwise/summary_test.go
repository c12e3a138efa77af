package main

import (
	"bytes"
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"boutwise/pipeline"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/coach"
	"boutwise/pipeline/review"
	"boutwise/pipeline/tables"
)

// The parts of a caution, as the coach's rules write them.
const (
	ownCaution    = "Medication limits this client's heart rate."
	harderCaution = "Before harder work: ask about known heart, metabolic or kidney disease, symptoms, medication and present activity, " +
		"and have what needs it cleared. Stop and seek medical advice at chest pain or pressure, unusual breathlessness, " +
		"light-headedness or near-fainting, palpitations or an irregular pulse, confusion, or leg pain that forces a halt. " +
		"The clinician's advice and local rules come first."
)

const testDay = calendar.Date(20625)

// practiceOf invents where a practice with so many clients stands: every
// tenth client has something urgent, every third a step to consider, every
// fifth an export that was refused.
func practiceOf(clients int) standing {
	sum := pipeline.Summary{AsOf: testDay, InInbox: 10 * clients, Opened: clients, Exports: map[string]int{"read": 9 * clients}}
	for i := range clients {
		c := review.Summary{
			ClientID: fmt.Sprintf("c%04d", i), Suggestion: coach.Hold, Stage: "intervals",
			Latest: &review.SessionLine{Day: testDay - calendar.Date(i%5), Kind: "base_with_bursts", Minutes: 41},
		}
		if i%10 == 3 {
			c.Findings = []tables.Finding{{Severity: "urgent", Date: testDay, Message: "heart rate of " + c.ClientID + " far above the measured maximum for 40 s; ask how the session felt"}}
		}
		if i%3 == 0 {
			c.Suggestion, c.Reason = coach.OneMoreRound, "4 weeks with 4 x 180 s held evenly and recovered from: one more round next, up to 8."
			c.Caution = harderCaution
			if i%2 == 0 {
				c.Caution = ownCaution + " " + harderCaution
			}
		}
		if i%5 == 0 {
			sum.Exports["refused"]++
			c.Troubled = []tables.File{{Path: c.ClientID + "/note.fit", Status: "refused", Reason: "neither FIT, GPX nor TCX"}}
		}
		sum.Clients = append(sum.Clients, c)
	}
	return standingOf(sum, true)
}

func summaryOn(s screen, st standing) []string {
	var out bytes.Buffer
	printSummary(&console{ctx: context.Background(), out: &results{w: &out}, screen: s}, "/srv/practice", st)
	return strings.Split(strings.TrimSuffix(out.String(), "\n"), "\n")
}

// A summary fits the screen however many clients there are, leaves a row for
// the prompt, and says how many it does not name.
func TestSummaryFitsTheScreen(t *testing.T) {
	for _, clients := range []int{0, 1, 8, 1000} {
		for rows := minRows; rows <= maxRows; rows++ {
			lines := summaryOn(screen{width: 80, rows: rows, signs: asciiSigns}, practiceOf(clients))
			if len(lines) >= rows {
				t.Errorf("%d clients: %d lines on %d rows", clients, len(lines), rows)
			}
			for _, line := range lines {
				if columns(line) > 80 {
					t.Errorf("%d clients: wider than the screen: %q", clients, line)
				}
			}
			if clients == 1000 && !slices.Contains(lines, "100 of 1000 clients need you, 100 urgent; (+n) counts further findings.") {
				t.Errorf("%d rows: nothing tells how many need the coach:\n%s", rows, strings.Join(lines, "\n"))
			}
		}
	}
}

// However few rows there are, a suggestion is shown only below what goes with
// it: the common caution once, the client's own by name.
func TestSuggestionsStandUnderTheirCautions(t *testing.T) {
	shown := 0
	for rows := minRows; rows <= maxRows; rows++ {
		text := strings.Join(strings.Fields(strings.Join(summaryOn(screen{width: 100, rows: rows, signs: asciiSigns}, practiceOf(40)), " ")), " ")
		caution, step := strings.Index(text, harderCaution), strings.Index(text, "one more round:")
		if step < 0 {
			continue
		}
		shown++
		if caution < 0 || caution > step || strings.Count(text, harderCaution) != 1 {
			t.Errorf("%d rows: a suggestion without the caution above it, or the caution twice:\n%s", rows, text)
		}
		for _, client := range []string{"c0000", "c0006"} {
			if strings.Contains(text, client+" one more round") != strings.Contains(text, client+": "+ownCaution) {
				t.Errorf("%d rows: %s and the caution of this client are not together:\n%s", rows, client, text)
			}
		}
	}
	if shown == 0 {
		t.Error("no number of rows had room for a suggestion")
	}
}

// The caution that the tests above look for is the one that the rules write.
func TestCautionIsTheCoachs(t *testing.T) {
	if own, harder := coach.SplitCaution(ownCaution + " " + harderCaution); own != ownCaution || harder != harderCaution {
		t.Errorf("parted into %q and %q", own, harder)
	}
}

func TestSummaryNamesTheUrgentFirst(t *testing.T) {
	lines := summaryOn(screen{width: 80, rows: minRows, signs: asciiSigns}, practiceOf(1000))
	at := slices.IndexFunc(lines, func(l string) bool { return strings.HasPrefix(l, "  urgent c0") })
	if at < 0 || !strings.Contains(lines[at-1], "need you") {
		t.Errorf("no urgent finding at the head:\n%s", strings.Join(lines, "\n"))
	}
}

// Who did what was asked is counted for all, and silence about prescriptions
// is no verdict.
func TestKeptText(t *testing.T) {
	monday := testDay.Monday() - 7
	week := func(sessions int32, of ...int32) review.Summary {
		w := tables.Week{Monday: monday, Sessions: sessions}
		if len(of) == 2 {
			w.Met, w.Prescribed = &of[0], &of[1]
		}
		return review.Summary{Weeks: []tables.Week{w}}
	}
	for _, tt := range []struct {
		clients []review.Summary
		want    string
	}{
		{[]review.Summary{week(3, 3, 3), week(4, 3, 3), week(2, 1, 3), week(0, 0, 3), week(2), {}}, "2 did all that was asked, 1 part of it, 1 nothing; 2 had no prescription."},
		{[]review.Summary{week(2), week(0), week(1, 0, 0)}, "2 of 3 clients trained; nothing was prescribed."},
	} {
		if got := keptText(tt.clients, monday); got != "Last week, "+monday.ISOWeek()+": "+tt.want {
			t.Errorf("%q, want %q", got, tt.want)
		}
	}
}
