package main

import (
	"context"

	"boutwise/pipeline"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/review"
	"boutwise/pipeline/tables"
)

// runCommand is the nightly job.
type runCommand struct {
	practiceFlags
	Strict bool `help:"End with code 3 while any export stands refused."`
}

// practiceFlags are shared by the commands that bring a practice up to date.
type practiceFlags struct {
	Practice string `required:"" type:"path" placeholder:"DIR" help:"The practice's folder: the one that holds inbox/."`
	AsOf     string `placeholder:"DAY" help:"The day of the review, as 2026-03-31; today without it."`
	JSON     bool   `help:"Print one JSON object a line, for machines."`
}

// summaryJSONHelp tells what the lines are.
const summaryJSONHelp = jsonHelp + "The types: run (once, first: what was read and brought up to date), client (where each " +
	"client stands), finding (urgent and soon, of the last two weeks), step (a suggestion with its caution), export (one " +
	"that was not read whole, and why)."

func (r *runCommand) Help() string {
	return "Example: boutwise run --practice /srv/practice\n\n" +
		"The summary fits one screen or mail. Clients in it go by id. " + summaryJSONHelp + "\n\n" + strictExitHelp
}

func (r *runCommand) Run(c *console) error {
	st, err := r.bring(c, pipeline.Run, true)
	if err != nil {
		return err
	}
	if n := st.Exports[refused]; r.Strict && n > 0 {
		return refusedError(n)
	}
	return nil
}

// reprocessCommand applies a changed configuration.
type reprocessCommand struct{ practiceFlags }

func (r *reprocessCommand) Help() string {
	return "Example: boutwise reprocess --practice /srv/practice\n\n" +
		"For use after a change of practice.toml or of the CSV files beside it. " + summaryJSONHelp + "\n\n" + plainExitHelp
}

func (r *reprocessCommand) Run(c *console) error {
	_, err := r.bring(c, pipeline.Reprocess, false)
	return err
}

// bringer is [pipeline.Run] or [pipeline.Reprocess].
type bringer func(context.Context, pipeline.Options) (pipeline.Summary, error)

// bring brings the practice up to date and reports.
func (f practiceFlags) bring(c *console, how bringer, reads bool) (st standing, err error) {
	if err := needPractice(f.Practice); err != nil {
		return st, err
	}
	o := pipeline.Options{Dir: f.Practice, Progress: newProgress(c, f.JSON)}
	if f.AsOf != "" {
		if o.AsOf, err = calendar.ParseDate(f.AsOf); err != nil {
			return st, usagef("--as-of: %q is no day; write it as 2026-03-31", f.AsOf)
		}
	}
	sum, err := how(c.ctx, o)
	if err != nil {
		return st, err
	}
	st = standingOf(sum, reads)
	if f.JSON {
		return st, printStanding(c, st)
	}
	printSummary(c, f.Practice, st)
	return st, nil
}

// printStanding prints the summary for machines, nothing left out.
func printStanding(c *console, st standing) error {
	lines := jsonLines{w: c.out}
	lines.add("run", map[string]any{
		"as_of": st.AsOf.String(), "in_inbox": st.InInbox, "opened": st.Opened, "vanished": st.Vanished,
		"clients": len(st.Clients), "clients_updated": st.Refreshed.Clients, "sessions_updated": st.Refreshed.Sessions,
		"sessions_measured": st.Refreshed.Measured, "files_written": st.Refreshed.Files, "exports": st.Exports,
	})
	for _, cl := range st.Clients {
		lines.add("client", clientFields(cl, st.AsOf))
		for _, f := range cl.Current(st.AsOf) {
			lines.add("finding", tables.Fields(tables.Findings, f))
		}
	}
	for _, cl := range stepsOf(st.Clients) {
		lines.add("step", map[string]any{"client_id": cl.ClientID, "stage": cl.Stage, "suggestion": cl.Suggestion,
			"reason": cl.Reason, "caution": cl.Caution})
	}
	for _, f := range troubledOf(st) {
		lines.add("export", tables.Fields(tables.Files, f))
	}
	return lines.err
}

// clientFields is where a client stands.
func clientFields(c review.Summary, asOf calendar.Date) map[string]any {
	found := c.Current(asOf)
	week, _ := weekOf(c.Weeks, asOf.Monday()-7)
	fields := map[string]any{
		"client_id": c.ClientID, "needs": nil, "findings": len(found), "stage": c.Stage, "sessions": c.Sessions,
		"last_session": nil, "last_session_id": nil, "last_week": (asOf.Monday() - 7).ISOWeek(), "last_week_sessions": week.Sessions,
		"last_week_prescribed": week.Prescribed, "last_week_met": week.Met, "bouts_paced": c.Bouts, "bouts_even": c.Even,
	}
	if len(found) > 0 {
		fields["needs"] = found[0].Severity
	}
	if l := c.Latest; l != nil {
		fields["last_session"], fields["last_session_id"] = l.Day.String(), l.SessionID
	}
	return fields
}
