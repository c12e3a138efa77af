// Command dump prints what this program reads and computes, as one line of
// JSON each, so that independent libraries can be asked for the same:
//
//	dump recordings FILE...   every leg of every export
//	dump numbers              statistics of generated columns
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
	default:
		return fmt.Errorf("use: dump recordings FILE..., or dump numbers")
	}
	if err != nil {
		return err
	}
	return out.Flush()
}
