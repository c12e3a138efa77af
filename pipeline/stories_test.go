package pipeline_test

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"boutwise/pipeline"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/coach"
	"boutwise/pipeline/demo"
	"boutwise/pipeline/tables"
)

// TestStories reviews the demonstration at the end of every week and holds it
// against its script: each scripted problem raises its finding in the right
// week, each scripted step is suggested in the right week, nothing that the
// story rules out is ever suggested, and nothing else fires above a note.
func TestStories(t *testing.T) {
	dir := t.TempDir()
	truth, err := demo.Write(dir, demo.Options{})
	if err != nil {
		t.Fatal(err)
	}
	first, err := calendar.ParseDate(truth.FirstMonday)
	if err != nil {
		t.Fatal(err)
	}
	week := func(d calendar.Date) int { return int(d-first)/7 + 1 }

	prescriptions := filepath.Join(dir, "prescriptions.csv")
	planned, err := os.ReadFile(prescriptions)
	if err != nil {
		t.Fatal(err)
	}
	var found, suggested []string
	for w := 1; w <= demo.Weeks; w++ {
		sunday := first + calendar.Date(7*w-1)
		// The coach writes a step down when it is due, not weeks ahead.
		if err := os.WriteFile(prescriptions, until(planned, sunday), 0o600); err != nil {
			t.Fatal(err)
		}
		// The inbox stays as it is: only the first run has to open it.
		review := pipeline.Reprocess
		if w == 1 {
			review = pipeline.Run
		}
		if _, err := review(context.Background(), pipeline.Options{Dir: dir, AsOf: sunday, Now: runTime}); err != nil {
			t.Fatal(err)
		}
		for _, f := range readAll[tables.Finding](t, dir, tables.Findings) {
			if f.Severity != coach.Note && week(f.Date) == w {
				found = append(found, line(f.ClientID, w, string(f.Finding)))
			}
		}
		for _, p := range readAll[tables.Progress](t, dir, tables.Progresses) {
			suggested = append(suggested, line(p.ClientID, w, p.Suggestion))
		}
	}

	var scripted []string
	for _, c := range truth.Clients {
		for _, e := range c.Findings {
			scripted = append(scripted, line(c.ID, e.Week, e.Name))
		}
		for _, e := range c.Suggestions {
			if s := line(c.ID, e.Week, e.Name); !slices.Contains(suggested, s) {
				t.Errorf("not suggested: %s", s)
			}
		}
		for w := 1; w <= demo.Weeks; w++ {
			for _, name := range c.Never {
				if s := line(c.ID, w, name); slices.Contains(suggested, s) {
					t.Errorf("suggested against the story: %s", s)
				}
			}
		}
	}
	slices.Sort(scripted)
	slices.Sort(found)
	if diff := cmp.Diff(scripted, slices.Compact(found)); diff != "" {
		t.Errorf("findings above a note, scripted and found:\n%s", diff)
	}
}

// until leaves out the rows of prescriptions.csv that are dated after a day.
func until(sheet []byte, day calendar.Date) []byte {
	var kept []byte
	for line := range bytes.Lines(sheet) {
		cells := strings.Split(string(line), ",")
		if from, err := calendar.ParseDate(cells[1]); err != nil || from <= day {
			kept = append(kept, line...) // the header is no day
		}
	}
	return kept
}

// line names what happens to a client in a week.
func line(client string, week int, name string) string {
	return fmt.Sprintf("%s week %02d %s", client, week, name)
}
