package main

import (
	"fmt"

	"boutwise/pipeline"
)

type checkCommand struct {
	Practice string `required:"" type:"path" placeholder:"DIR" help:"The practice folder."`
	Repair   bool   `help:"Make good what can be made good."`
}

func (k *checkCommand) Help() string {
	return "Example: boutwise check --practice /srv/practice\n\n" + exitHelp
}

func (k *checkCommand) Run(c *console) error {
	find := func() ([]pipeline.Fault, error) { return pipeline.Check(c.ctx, k.Practice) }
	if k.Repair {
		find = func() ([]pipeline.Fault, error) {
			return pipeline.Repair(c.ctx, pipeline.Options{Dir: k.Practice, Progress: newProgress(c.err, false)})
		}
	}
	faults, err := find()
	for _, f := range faults {
		fmt.Fprintln(c.out, f)
	}
	switch {
	case err != nil:
		return err
	case len(faults) == 0:
		fmt.Fprintln(c.out, "Configuration, inbox, store and output agree.")
	case !k.Repair:
		return fmt.Errorf("%d things are not as they should be; see the list", len(faults))
	}
	return nil
}
