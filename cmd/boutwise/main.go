// Command boutwise reads the exports of a practice's clients, finds and
// measures their bouts, and writes tables and a review.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"

	"github.com/alecthomas/kong"

	"boutwise/pipeline/demo"
	"boutwise/pipeline/practice"
)

// Exit codes. Every command's help ends with them.
const (
	exitDone    = 0
	exitFailed  = 1
	exitUsage   = 2 // wrong usage or configuration; nothing was written
	exitRefused = 3 // with --strict: an export was refused
)

const exitHelp = "Exit code: 0 done, 1 failed, 2 wrong usage or configuration, 3 with --strict when an export was refused."

// commands are the verbs, each in the file of its name.
type commands struct {
	Demo      demoCommand      `cmd:"" help:"Write an invented practice with real exports and run it."`
	Init      initCommand      `cmd:"" help:"Write an empty practice with every setting explained."`
	Run       runCommand       `cmd:"" help:"The nightly job: read what is new, measure, bring out/ up to date."`
	Reprocess reprocessCommand `cmd:"" help:"Bring out/ up to date after a change of configuration, opening no export."`
	Inspect   inspectCommand   `cmd:"" help:"Show one export: channels, coverage, bouts and how evenly they were held."`
	Check     checkCommand     `cmd:"" help:"Verify configuration, store and output against each other."`
	Forget    forgetCommand    `cmd:"" help:"Remove everything derived from a client from store and output."`
	Schema    schemaCommand    `cmd:"" help:"Print the data dictionary of every table."`
}

// console is where a command speaks: results to out, everything else to err.
type console struct {
	ctx context.Context
	out io.Writer
	err io.Writer
}

// errRefused tells that a strict run refused an export.
var errRefused = errors.New("an export was refused; see the list above and the files table")

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	os.Exit(run(ctx, os.Args[1:], os.Stdout, os.Stderr))
}

// run is the program: tests call it as a shell would.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	var c commands
	exited := -1
	parser, err := kong.New(&c, kong.Name("boutwise"), kong.Writers(stdout, stderr),
		kong.Description("Finds and measures the bouts in what clients' devices export. "+exitHelp),
		kong.Exit(func(code int) { exited = code }),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true}))
	if err != nil {
		fmt.Fprintln(stderr, "boutwise:", err)
		return exitFailed
	}
	if len(args) == 0 {
		args = []string{"--help"}
	}
	parsed, err := parser.Parse(args)
	switch {
	case exited >= 0:
		return exited
	case err != nil:
		fmt.Fprintf(stderr, "boutwise: %v; boutwise --help lists the commands\n", err)
		return exitUsage
	}
	return exitCode(parsed.Run(&console{ctx, stdout, stderr}), stderr)
}

// exitCode reports an error, one line a problem, and gives its code.
func exitCode(err error, stderr io.Writer) int {
	if err == nil {
		return exitDone
	}
	for _, line := range strings.Split(strings.TrimRight(err.Error(), "\n"), "\n") {
		fmt.Fprintln(stderr, "boutwise:", line)
	}
	var problems practice.Problems
	switch {
	case errors.As(err, &problems), errors.Is(err, demo.ErrOccupied):
		return exitUsage
	case errors.Is(err, errRefused):
		return exitRefused
	}
	return exitFailed
}
