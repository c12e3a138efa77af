package coach_test

import (
	"context"
	"fmt"
	"os"
	"slices"
	"testing"
	"time"

	"boutwise/pipeline"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/demo"
	"boutwise/pipeline/tables"
)

func TestZZ(t *testing.T) {
	dir := "/tmp/zzdemo"
	os.MkdirAll(dir, 0o700)
	truth, err := demo.Write(dir, demo.Options{})
	if err != nil {
		t.Fatal(err)
	}
	first, _ := calendar.ParseDate(truth.FirstMonday)
	prog := map[string][]tables.Progress{}
	finds := map[string]map[string]int{}
	now := time.Date(2026, 6, 22, 3, 0, 0, 0, time.UTC)
	for w := 1; w <= 12; w++ {
		t0 := time.Now()
		sum, err := pipeline.Run(context.Background(), pipeline.Options{Dir: dir, AsOf: first + calendar.Date(7*w-1), Now: now, Workers: 1})
		if err != nil {
			t.Fatal(err)
		}
		if w == 1 {
			fmt.Println("run", time.Since(t0))
			for _, f := range sum.Files {
				if f.Status != "read" {
					fmt.Println(f.Path, f.Status, f.Reason)
				}
			}
		}
		for _, p := range sum.Progress {
			prog[p.ClientID] = append(prog[p.ClientID], p)
		}
		for _, f := range sum.Findings {
			if f.Finding == "silent_client" || w == 12 {
				if finds[f.ClientID] == nil {
					finds[f.ClientID] = map[string]int{}
				}
				finds[f.ClientID][fmt.Sprintf("%s %2d %s %s %s: %s", f.Severity, int(f.Date-first)/7+1, f.Finding, f.Date, f.SessionID, f.Message)]++
			}
		}
	}
	for _, c := range truth.Clients {
		fmt.Println("=====", c.ID, c.Story)
		for _, e := range c.Suggestions {
			fmt.Println("  due", e.Week, e.Name)
		}
		for i, p := range prog[c.ID] {
			fmt.Printf("  %2d %s %s: %.200s\n", i+1, p.Stage, p.Suggestion, p.Reason)
		}
		for _, e := range c.Findings {
			fmt.Println("  expect", e.Week, e.Name)
		}
		var keys []string
		for k := range finds[c.ID] {
			keys = append(keys, k)
		}
		slices.Sort(keys)
		for _, k := range keys {
			fmt.Println("   ", k)
		}
	}
}
