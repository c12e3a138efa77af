package main

import (
	"fmt"

	"boutwise/pipeline"
)

type checkCommand struct {
	Practice string `required:"" type:"path" placeholder:"DIR" help:"The practice's folder: the one that holds inbox/."`
	Repair   bool   `help:"Make good what can be made good."`
	JSON     bool   `help:"Print one JSON object a line, for machines."`
}

func (k *checkCommand) Help() string {
	return "Examples: boutwise check --practice /srv/practice; boutwise check --repair --practice /srv/practice\n\n" +
		jsonHelp + "The types: fault (path, what, remedy) and check (last: how many faults).\n\n" +
		"Exit codes: 0 all agrees or was made good, 1 something is not as it should be, 2 wrong usage or configuration."
}

func (k *checkCommand) Run(c *console) error {
	if err := needPractice(k.Practice); err != nil {
		return err
	}
	find := func() ([]pipeline.Fault, error) { return pipeline.Check(c.ctx, k.Practice) }
	if k.Repair {
		find = func() ([]pipeline.Fault, error) {
			return pipeline.Repair(c.ctx, pipeline.Options{Dir: k.Practice, Progress: newProgress(c, k.JSON)})
		}
	}
	faults, err := find()
	if printErr := k.print(c, faults, err == nil); err == nil {
		err = printErr
	}
	switch {
	case err != nil:
		return err
	case len(faults) > 0 && !k.Repair:
		return fmt.Errorf("%s not as it should be; boutwise check --repair makes good what can be made good",
			plural(len(faults), "thing is", "things are"))
	}
	return nil
}

// print lists the faults. An error leaves open whether there are more.
func (k *checkCommand) print(c *console, faults []pipeline.Fault, complete bool) error {
	if k.JSON {
		lines := jsonLines{w: c.out}
		for _, f := range faults {
			lines.add("fault", map[string]any{"path": f.Path, "what": f.What, "remedy": f.Remedy})
		}
		if complete {
			lines.add("check", map[string]any{"faults": len(faults), "repaired": k.Repair})
		}
		return lines.err
	}
	for _, f := range faults {
		c.say(clean(f.String()))
	}
	switch {
	case !complete:
	case len(faults) == 0:
		c.say("Configuration, inbox, store and output agree.")
	case k.Repair:
		c.say("What could be made good was; boutwise check tells what is left.")
	}
	return nil
}
