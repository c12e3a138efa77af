package main

import (
	"cmp"
	"errors"
	"path/filepath"
	"strings"

	"boutwise/pipeline"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/tables"
	"boutwise/pipeline/units"
)

type inspectCommand struct {
	Files    []string `arg:"" name:"file" help:"Exports: FIT, GPX or TCX, plain, gzipped or zipped."`
	Practice string   `type:"path" placeholder:"DIR" help:"Take units, time zone and limits from this practice's practice.toml."`
	Units    string   `enum:"metric,imperial," default:"" placeholder:"SYSTEM" help:"Speeds, paces, distances and heights in metric or imperial units, whatever the practice says (metric without either)."`
	JSON     bool     `help:"Print one JSON object a line, for machines."`
}

func (i *inspectCommand) Help() string {
	return "Examples: boutwise inspect morning.fit; boutwise inspect --units imperial inbox/c101/*.gpx\n\n" +
		"Knows nothing of the client, so no figure that needs a measurement is shown. " + jsonHelp +
		"The types: recording (an export or one leg of it, with its channels and session), bout, refused (path and reason).\n\n" + plainExitHelp
}

func (i *inspectCommand) Run(c *console) error {
	for _, path := range i.Files {
		if err := needFile(path); err != nil {
			return err
		}
	}
	set, err := i.settings()
	if err != nil {
		return err
	}
	lines := jsonLines{w: c.out}
	var failed []error
	for _, path := range i.Files {
		if err := c.ctx.Err(); err != nil {
			return err
		}
		inspections, errs := pipeline.Inspect(path, set)
		for _, in := range inspections {
			in.Path = placeOf(path, in.Path)
			if i.JSON {
				recordingLines(&lines, in)
				continue
			}
			view := inspectionView{c.screen, units.System(set.ReviewUnits), in}
			c.say(view.lines()...)
		}
		for _, err := range errs {
			reason := placeOf(path, err.Error())
			failed = append(failed, errors.New(reason))
			if i.JSON {
				lines.add("refused", map[string]any{"path": path, "reason": reason})
			}
		}
	}
	return errors.Join(append(failed, lines.err)...)
}

// settings are the practice's, where one is named, or the defaults.
func (i *inspectCommand) settings() (practice.Settings, error) {
	set := practice.DefaultSettings()
	if i.Practice != "" {
		if err := needPractice(i.Practice); err != nil {
			return set, err
		}
		p, err := practice.Load(i.Practice)
		if err != nil {
			return set, err
		}
		set = p.Settings
	}
	set.ReviewUnits = cmp.Or(i.Units, set.ReviewUnits)
	return set, nil
}

// placeOf makes a text that begins with the file's name begin with the file
// as it was asked for; the member's name within an archive stays behind it.
func placeOf(asked, text string) string {
	if rest, found := strings.CutPrefix(text, filepath.Base(asked)); found {
		return asked + rest
	}
	return text
}

func recordingLines(lines *jsonLines, in pipeline.Inspection) {
	session := tables.Fields(tables.Sessions, in.Measurement.Session)
	delete(session, "client_id") // nobody said whose it is
	channels := []map[string]any{}
	for _, c := range channelsOf(in) {
		channels = append(channels, map[string]any{"channel": c.spec.Name, "unit": c.spec.Unit, "covers_pct": c.covers,
			"mean": c.mean, "low": c.low, "high": c.high,
			"impossible_samples": c.repairs.Impossible, "spike_samples": c.repairs.Spike, "frozen_samples": c.repairs.Frozen})
	}
	lines.add("recording", map[string]any{
		"path": in.Path, "leg": in.Leg, "format": in.Format, "status": in.Status, "reason": in.Reason, "device": in.Device,
		"channels": channels, "session": session,
	})
	for _, b := range in.Measurement.Bouts {
		fields := tables.Fields(tables.Bouts, b)
		fields["path"], fields["leg"] = in.Path, in.Leg
		delete(fields, "client_id")
		lines.add("bout", fields)
	}
}
