package main

import (
	"fmt"
	"path/filepath"

	"boutwise/pipeline"
)

type forgetCommand struct {
	Practice string `required:"" type:"path" placeholder:"DIR" help:"The practice's folder: the one that holds inbox/."`
	ClientID string `arg:"" name:"client-id" help:"The client: the name of the folder in the inbox."`
}

func (f *forgetCommand) Help() string {
	return "Example: boutwise forget --practice /srv/practice c101\n\nExports and the coach's own files are left alone. There is no way back but to read the exports again.\n\n" + plainExitHelp
}

func (f *forgetCommand) Run(c *console) error {
	if err := needPractice(f.Practice); err != nil {
		return err
	}
	if err := pipeline.Forget(c.ctx, pipeline.Options{Dir: f.Practice}, f.ClientID); err != nil {
		return err
	}
	fmt.Fprintf(c.out, "Nothing derived from %s is left in store and out; a search of both found no trace.\n"+
		"Move %s away, and take the client out of the CSV files, or the next run reads it again.\n",
		f.ClientID, filepath.Join(f.Practice, "inbox", f.ClientID))
	return nil
}
