package main

import (
	"fmt"
	"path/filepath"
	"time"

	"boutwise/parsers/recording"
	"boutwise/pipeline"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/demo"
	"boutwise/pipeline/practice"
)

type demoCommand struct {
	Dir string `arg:"" optional:"" type:"path" default:"demo" help:"Where to write the practice (default demo)."`
}

func (d *demoCommand) Help() string {
	return "Example: boutwise demo /tmp/practice\n\n" +
		"The folder must be new, empty or an earlier demonstration.\n\n" + plainExitHelp
}

func (d *demoCommand) Run(c *console) error {
	truth, err := demo.Write(d.Dir, demo.Options{})
	if err != nil {
		return err
	}
	monday, err := calendar.ParseDate(truth.LastMonday)
	if err != nil {
		return err
	}
	sum, err := pipeline.Run(c.ctx, pipeline.Options{
		Dir: d.Dir, AsOf: monday + 6, Progress: newProgress(c, false),
	})
	if err != nil {
		return err
	}
	c.say("All of this is invented: clients, sessions and devices.")
	printSummary(c, d.Dir, standingOf(sum, true))
	c.say("", "Try one export by itself:", "  boutwise inspect "+filepath.Join(d.Dir, "inbox", worthALook(truth)))
	return nil
}

// worthALook is an export to try: the first plain FIT file of a session with
// intervals.
func worthALook(truth *demo.Truth) string {
	place := func(client string, start time.Time) string { return fmt.Sprint(client, start.Unix()) }
	intervals := map[string]bool{}
	for _, s := range truth.Sessions {
		intervals[place(s.Client, s.StartUTC)] = s.Kind == practice.Intervals
	}
	for _, f := range truth.Files {
		if f.Status == "read" && f.Format == recording.FIT && intervals[place(f.Client, f.StartUTC)] && filepath.Ext(f.Path) == ".fit" {
			return filepath.FromSlash(f.Path)
		}
	}
	return "CLIENT_ID/EXPORT"
}
