// Command dump prints what this program reads and computes, as one line of
// JSON each, so that independent libraries can be asked for the same:
//
//	dump recordings FILE...   every leg of every export
//	dump numbers              statistics of generated columns
//	dump recoveries FILE      heart rate's fall after each bout of an export
//
// It is for scripts/crosscheck alone.
package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"os"
)

func main() {
	if err := run(os.Args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, "dump:", err)
		os.Exit(1)
	}
}

// run prints what the first argument asks for.
func run(args []string) error {
	out := bufio.NewWriter(os.Stdout)
	encoder := json.NewEncoder(out)
	var err error
	switch {
	case len(args) > 1 && args[0] == "recordings":
		err = recordings(args[1:], encoder)
	case len(args) == 1 && args[0] == "numbers":
		err = numbers(encoder)
	case len(args) == 2 && args[0] == "recoveries":
		err = recoveries(args[1], encoder)
	default:
		return fmt.Errorf("use: dump recordings FILE..., dump numbers, or dump recoveries FILE")
	}
	if err != nil {
		return err
	}
	return out.Flush()
}
