package main

import (
	"fmt"
	"path/filepath"
	"time"

	"boutwise/pipeline"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/demo"
)

type demoCommand struct {
	Dir string `arg:"" optional:"" type:"path" default:"demo" help:"Where to write the practice (default demo)."`
}

func (d *demoCommand) Help() string {
	return "Example: boutwise demo /tmp/practice\n\n" + exitHelp
}

func (d *demoCommand) Run(c *console) error {
	started := time.Now()
	truth, err := demo.Write(d.Dir, demo.Options{})
	if err != nil {
		return err
	}
	fmt.Fprintf(c.err, "invented a practice in %s in %.1f s\n", d.Dir, time.Since(started).Seconds())
	monday, err := calendar.ParseDate(truth.LastMonday)
	if err != nil {
		return err
	}
	sum, err := pipeline.Run(c.ctx, pipeline.Options{
		Dir: d.Dir, AsOf: monday + 6, Progress: newProgress(c.err, false),
	})
	if err != nil {
		return err
	}
	fmt.Fprintln(c.out, "All of this is invented: clients, sessions and devices.")
	printSummary(c.out, d.Dir, sum)
	fmt.Fprintf(c.out, "\nTry one export by itself:\n  boutwise inspect %s\n", filepath.Join(d.Dir, "inbox", firstFIT(sum)))
	return nil
}

// firstFIT is an export worth a look: the first plain FIT export of a session
// with intervals.
func firstFIT(sum pipeline.Summary) string {
	intervals := map[string]bool{}
	for _, s := range sum.Sessions {
		intervals[s.ClientID+s.SessionID] = s.Kind == "intervals"
	}
	for _, f := range sum.Files {
		if f.Status == "read" && f.Format == "fit" && intervals[f.ClientID+f.SessionID] && filepath.Ext(f.Path) == ".fit" {
			return filepath.FromSlash(f.Path)
		}
	}
	return "CLIENT_ID/EXPORT"
}
