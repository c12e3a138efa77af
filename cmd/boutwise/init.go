package main

import (
	"fmt"
	"os"

	"boutwise/pipeline/practice"
)

type initCommand struct {
	Dir string `arg:"" type:"path" help:"The practice folder to make."`
}

func (i *initCommand) Help() string {
	return "Example: boutwise init /srv/practice\n\nA file that is already there stays as it is.\n\n" + plainExitHelp
}

func (i *initCommand) Run(c *console) error {
	if info, err := os.Stat(i.Dir); err == nil && !info.IsDir() {
		return usagef("%s: a file; name a new or an empty folder", i.Dir)
	}
	if err := practice.WriteTemplate(i.Dir); err != nil {
		return err
	}
	fmt.Fprintf(c.out, `An empty practice is in %s.

Next:
  1. read practice.toml and set your time zone and units
  2. list your clients in clients.csv (a spreadsheet can edit it)
  3. put each client's exports into inbox/CLIENT_ID/
  4. boutwise run --practice %s
`, i.Dir, i.Dir)
	return nil
}
