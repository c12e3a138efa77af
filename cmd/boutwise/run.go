package main

import (
	"boutwise/pipeline"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/tables"
	"encoding/json"
)

// runCommand is the nightly job.
type runCommand struct {
	practiceFlags
	Strict bool `help:"End with code 3 when an export was refused."`
}

// practiceFlags are shared by the commands that work on a practice.
type practiceFlags struct {
	Practice string `required:"" type:"path" placeholder:"DIR" help:"The practice folder."`
	AsOf     string `placeholder:"DAY" help:"The day of the review, YYYY-MM-DD; today without it."`
	JSON     bool   `help:"Print one JSON object a line, for machines."`
}

func (f practiceFlags) options(c *console) (pipeline.Options, error) {
	o := pipeline.Options{Dir: f.Practice, Progress: newProgress(c.err, f.JSON)}
	if f.AsOf == "" {
		return o, nil
	}
	day, err := calendar.ParseDate(f.AsOf)
	o.AsOf = day
	return o, err
}

func (r *runCommand) Help() string {
	return "Example: boutwise run --practice /srv/practice\n\n" + exitHelp
}

func (r *runCommand) Run(c *console) error {
	o, err := r.options(c)
	if err != nil {
		return err
	}
	sum, err := pipeline.Run(c.ctx, o)
	if err != nil {
		return err
	}
	if err := report(c, r.practiceFlags, sum); err != nil {
		return err
	}
	if r.Strict && countStatus(sum.Files)["refused"] > 0 {
		return errRefused
	}
	return nil
}

// reprocessCommand applies a changed configuration.
type reprocessCommand struct{ practiceFlags }

func (r *reprocessCommand) Help() string {
	return "Example: boutwise reprocess --practice /srv/practice\n\n" + exitHelp
}

func (r *reprocessCommand) Run(c *console) error {
	o, err := r.options(c)
	if err != nil {
		return err
	}
	sum, err := pipeline.Reprocess(c.ctx, o)
	if err != nil {
		return err
	}
	return report(c, r.practiceFlags, sum)
}

func report(c *console, f practiceFlags, sum pipeline.Summary) error {
	if f.JSON {
		return printJSON(c, sum)
	}
	printSummary(c.out, f.Practice, sum)
	return nil
}

// printJSON prints the summary for machines: a line of counts, then a line for
// every export that was not simply read, and for every finding.
func printJSON(c *console, sum pipeline.Summary) error {
	out := json.NewEncoder(c.out)
	err := out.Encode(map[string]any{
		"event": "summary", "as_of": sum.AsOf.String(), "in_inbox": sum.InInbox, "opened": sum.Opened,
		"vanished": sum.Vanished, "clients": sum.Refreshed.Clients, "sessions": sum.Refreshed.Sessions,
		"measured": sum.Refreshed.Measured, "files_written": sum.Refreshed.Files, "exports": countStatus(sum.Files),
	})
	for _, f := range sum.Files {
		if err == nil && f.Status != "read" {
			err = out.Encode(map[string]any{"event": "export", "path": f.Path, "status": f.Status, "reason": f.Reason})
		}
	}
	for _, f := range sum.Findings {
		if err == nil {
			err = out.Encode(map[string]any{"event": "finding", "client_id": f.ClientID, "session_id": f.SessionID,
				"severity": f.Severity, "finding": f.Finding, "message": f.Message})
		}
	}
	return err
}

func countStatus(files []tables.File) map[string]int {
	count := map[string]int{}
	for _, f := range files {
		count[f.Status]++
	}
	return count
}
