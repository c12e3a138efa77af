package main

import (
	"fmt"
	"strings"

	"boutwise/pipeline/tables"
)

type schemaCommand struct {
	Table string `arg:"" optional:"" help:"Only this table."`
}

func (s *schemaCommand) Help() string {
	return "Examples: boutwise schema; boutwise schema bouts\n\n" + exitHelp
}

func (s *schemaCommand) Run(c *console) error {
	shown := 0
	var names []string
	for _, t := range tables.All() {
		names = append(names, t.Name)
		if s.Table != "" && s.Table != t.Name {
			continue
		}
		if shown++; shown > 1 {
			fmt.Fprintln(c.out)
		}
		printTable(c, t)
	}
	if shown == 0 {
		return fmt.Errorf("no table %q; there are %s", s.Table, strings.Join(names, ", "))
	}
	return nil
}

func printTable(c *console, t *tables.Table) {
	where := "Parquet and CSV"
	if !t.CSV {
		where = "Parquet only"
	}
	fmt.Fprintf(c.out, "%s (%s)\n%s\n\n", t.Name, where, wrap(t.Meaning, "  ", lineWidth))
	for _, col := range t.Columns {
		kind := col.Type
		if col.Optional {
			kind += ", may be missing"
		}
		if col.Unit != "" {
			kind += ", in " + col.Unit
		}
		fmt.Fprintf(c.out, "  %s: %s\n%s\n", col.Name, kind, wrap(col.Meaning, "      ", lineWidth))
		if col.Source != "" {
			fmt.Fprintln(c.out, wrap("Source: "+col.Source+".", "      ", lineWidth))
		}
	}
}

// lineWidth is the width that text is folded to.
const lineWidth = 100

// wrap folds text at blanks, each line behind the indent.
func wrap(text, indent string, width int) string {
	var lines []string
	line := indent
	for _, word := range strings.Fields(text) {
		if len(line) > len(indent) && len(line)+1+len(word) > width {
			lines = append(lines, line)
			line = indent
		}
		if len(line) > len(indent) {
			line += " "
		}
		line += word
	}
	return strings.Join(append(lines, line), "\n")
}
