package main

import (
	"strings"

	"boutwise/pipeline/tables"
)

type schemaCommand struct {
	Table string `arg:"" optional:"" help:"Only this table."`
	JSON  bool   `help:"Print one JSON object a line, for machines."`
}

func (s *schemaCommand) Help() string {
	return "Examples: boutwise schema; boutwise schema bouts\n\n" +
		"With --json each line of standard output is one JSON object of type column: table, column, kind, optional, unit, " +
		"meaning, source.\n\n" + plainExitHelp
}

func (s *schemaCommand) Run(c *console) error {
	var chosen []*tables.Table
	var names []string
	for _, t := range tables.All() {
		names = append(names, t.Name)
		if s.Table == "" || s.Table == t.Name {
			chosen = append(chosen, t)
		}
	}
	if len(chosen) == 0 {
		return usagef("no table %q; there are %s", s.Table, strings.Join(names, ", "))
	}
	lines := jsonLines{w: c.out}
	for i, t := range chosen {
		if s.JSON {
			columnLines(&lines, t)
			continue
		}
		if i > 0 {
			c.say("")
		}
		printTable(c, t)
	}
	return lines.err
}

func columnLines(lines *jsonLines, t *tables.Table) {
	for _, col := range t.Columns {
		lines.add("column", map[string]any{"table": t.Name, "column": col.Name, "kind": col.Type, "optional": col.Optional,
			"unit": col.Unit, "meaning": col.Meaning, "source": col.Source})
	}
}

func printTable(c *console, t *tables.Table) {
	where := "Parquet and CSV"
	if !t.CSV {
		where = "Parquet only"
	}
	c.say(c.screen.paint(inkStrong, t.Name) + " (" + where + ")")
	c.say(wrap(t.Meaning, "  ", c.screen.width)...)
	c.say("")
	for _, col := range t.Columns {
		kind := col.Type
		if col.Optional {
			kind += ", may be missing"
		}
		if col.Unit != "" {
			kind += ", in " + col.Unit
		}
		c.say("  " + c.screen.paint(inkStrong, col.Name) + ": " + kind)
		c.say(wrap(col.Meaning, "      ", c.screen.width)...)
		if col.Source != "" {
			c.say(wrap("Source: "+col.Source+".", "      ", c.screen.width)...)
		}
	}
}
