// Command boutwise reads the exports of a practice's clients, finds and
// measures their bouts, and writes tables and a review.
package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"

	"github.com/alecthomas/kong"
)

// commands are the verbs, each in the file of its name.
type commands struct {
	Demo      demoCommand      `cmd:"" help:"Write an invented practice with real exports and run it."`
	Init      initCommand      `cmd:"" help:"Write an empty practice with every setting explained."`
	Run       runCommand       `cmd:"" help:"The nightly job: read what is new, measure, bring out/ up to date."`
	Reprocess reprocessCommand `cmd:"" help:"Bring out/ up to date after a change of configuration, opening no export."`
	Inspect   inspectCommand   `cmd:"" help:"Show exports: channels, coverage, bouts and how evenly they were held."`
	Check     checkCommand     `cmd:"" help:"Verify configuration, inbox, store and output against each other."`
	Forget    forgetCommand    `cmd:"" help:"Remove everything derived from a client from store and output."`
	Schema    schemaCommand    `cmd:"" help:"Print the data dictionary of every table."`
}

// about stands above the list of commands.
const about = `Finds and measures the bouts in what clients' devices export.

Example: boutwise demo

` + exitHelp

// console is where a command speaks: results to out, everything else to err.
type console struct {
	ctx       context.Context
	out       *results
	err       io.Writer
	screen    screen // of out
	errScreen screen
}

func newConsole(ctx context.Context, stdout, stderr io.Writer) *console {
	return &console{ctx, &results{w: stdout}, stderr, screenOf(stdout, os.Getenv), screenOf(stderr, os.Getenv)}
}

// results passes on what is printed and keeps the first error: a list that a
// full disk cut short must not pass for a whole one.
type results struct {
	w   io.Writer
	err error
}

func (r *results) Write(p []byte) (int, error) {
	if r.err != nil {
		return 0, r.err
	}
	n, err := r.w.Write(p)
	r.err = err
	return n, err
}

// say prints lines of results.
func (c *console) say(lines ...string) {
	for _, line := range lines {
		fmt.Fprintln(c.out, line)
	}
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	// The first interruption asks for an orderly end, the second gets one.
	context.AfterFunc(ctx, stop)
	os.Exit(run(ctx, os.Args[1:], os.Stdout, os.Stderr))
}

// run is the program: tests call it as a shell would.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	var c commands
	exited := -1
	parser, err := kong.New(&c, kong.Name("boutwise"), kong.Writers(stdout, stderr), kong.Description(about),
		kong.Exit(func(code int) { exited = code }),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true}))
	if err != nil {
		return exitCode(err, stderr)
	}
	if len(args) == 0 {
		args = []string{"--help"}
	}
	parsed, err := parser.Parse(args)
	switch {
	case exited >= 0: // help was printed
		return exited
	case err != nil:
		return exitCode(usagef("%v; boutwise --help lists the commands, boutwise COMMAND --help explains one", err), stderr)
	}
	con := newConsole(ctx, stdout, stderr)
	err = parsed.Run(con)
	if err == nil && con.out.err != nil {
		err = fmt.Errorf("what was to be printed is not whole: %w; make room, or print elsewhere", con.out.err)
	}
	return exitCode(err, stderr)
}
