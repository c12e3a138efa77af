package main

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"boutwise/pipeline/calendar"
	"boutwise/pipeline/review"
	"boutwise/pipeline/tables"
)

// thousand is the morning page of a large practice: 300 clients with
// findings, 250 who did less than was asked, 150 with a step to consider, three
// sessions a week from almost all.
func thousand(t *testing.T) review.IndexData {
	t.Helper()
	asOf, err := calendar.ParseDate("2026-06-21")
	if err != nil {
		t.Fatal(err)
	}
	data := review.IndexData{AsOf: asOf}
	for i := range 1000 {
		id := fmt.Sprintf("c%04d", i)
		s := review.Summary{
			ClientID: id, Name: fmt.Sprintf("Given%d Family%d", i%37, i), Stage: []string{"base", "base_with_bursts", "intervals"}[i%3],
			Suggestion: "hold", Reason: "due before the next step: 3 weeks in a row as prescribed; 1 so far", Bouts: 20, Even: i % 21,
		}
		for back := range 5 {
			monday := asOf.Monday() - calendar.Date(7*back)
			asked, met := int32(3), int32(3)
			if i%4 == 0 {
				met = int32(i/4) % 3
			}
			s.Weeks = append(s.Weeks, tables.Week{
				ClientID: id, ISOWeek: monday.ISOWeek(), Monday: monday, Sessions: met, Minutes: float64(90 + i%60), Prescribed: &asked, Met: &met,
			})
		}
		if i%20 != 7 {
			for _, ago := range []int{i % 3, i%3 + 2, i%3 + 4} {
				day := asOf - calendar.Date(ago)
				l := review.SessionLine{ClientID: id, SessionID: day.String(), Day: day, Kind: s.Stage, Sport: "cycling", Minutes: 44, Bouts: 4, Paced: 4, Even: 3}
				data.Arrived = append(data.Arrived, l)
				if ago == i%3 {
					s.Latest = &l
				}
			}
		}
		if i%10 < 3 {
			severity := map[bool]string{true: "urgent", false: "soon"}[i%50 == 1]
			s.Findings = []tables.Finding{{
				ClientID: id, Severity: severity, Finding: "base_above_band", Date: asOf - calendar.Date(i%12),
				Message: fmt.Sprintf("base session too hard: %d %% of it at or above 138 bpm", 40+i%60),
			}}
		}
		if i%20 < 3 {
			s.Suggestion, s.Reason = "one_more_round", "4 weeks with 4 x 180 s held evenly and recovered from: one more round next, up to 8."
			s.Caution = fmt.Sprintf("This client moves slower through the steps: aged %d. Before harder work: ask.", 65+i%20)
		}
		data.Clients = append(data.Clients, s)
	}
	return data
}

// mostBytes is how large the morning page of a thousand clients may be: what a
// phone shows without a pause.
const mostBytes = 1_500_000

func TestThousandClientsFitAPage(t *testing.T) {
	page, err := review.Index(thousand(t))
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("%d bytes", len(page.HTML))
	if len(page.HTML) > mostBytes {
		t.Errorf("the morning page of 1,000 clients has %d bytes, want at most %d", len(page.HTML), mostBytes)
	}
}

// thousandSite writes the page with what it links to, as far as the checks of
// the index need it.
func thousandSite(t *testing.T) *site {
	t.Helper()
	page, err := review.Index(thousand(t))
	if err != nil {
		t.Fatal(err)
	}
	root := t.TempDir()
	for _, p := range append(review.Shared(), page) {
		if err := os.WriteFile(filepath.Join(root, filepath.FromSlash(p.Path)), p.HTML, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	s, err := readSite(root)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// The morning page of a thousand clients does all that a small one does.
func TestThousandClientsInTheBrowser(t *testing.T) {
	browser := needBrowser(t)
	s := thousandSite(t)
	tab, stop, err := openTab(browser)
	if err != nil {
		t.Fatal(err)
	}
	defer stop()
	began := time.Now()
	if err := tab.open(s.address("index.html")); err != nil {
		t.Fatal(err)
	}
	t.Logf("opened in %v", time.Since(began).Round(time.Millisecond))
	const timed = `(() => { const began = performance.now(); %s; document.body.offsetHeight; return Math.round(performance.now() - began); })()`
	for what, script := range map[string]string{
		"sorted": `document.querySelector("#clientlist th:nth-child(4) button").click()`,
		"found":  `const find = document.getElementById("find"); find.value = "family99"; find.dispatchEvent(new Event("input"))`,
	} {
		took, err := ask[int](tab, fmt.Sprintf(timed, script))
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%s and laid out in %d ms", what, took)
	}
	found := newReport(s.root)
	if err := useIndex(tab, s, found); err != nil {
		t.Fatal(err)
	}
	for _, a := range found.alikes() {
		t.Errorf("%s: %s", a.check, a.detail)
	}
}
