// Command browser opens the pages of a practice's review in a real browser,
// from disk as the coach does, and fails on what a reader would stumble over:
//
//	go run ./scripts/browser [flags] PRACTICE
//
// A page must load without a word on the console and without asking for
// anything that is missing or lies elsewhere; its links must lead to pages and
// places that exist; it must not scroll sideways on a narrow screen, and lose
// nothing on paper; its headings must descend in order and its drawings be
// labelled; and the rules of axe-core must find nothing, on light and dark
// ground. On the morning page it types, clicks and sorts, with the mouse and
// with the keyboard alone.
//
// Exit codes: 0 all is well, 1 faults were found or the browser failed, 2
// wrong usage.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"runtime"
	"sync"
	"time"

	"golang.org/x/sync/errgroup"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	os.Exit(run(ctx, os.Args[1:], os.Stdout, os.Stderr))
}

// options are what the flags ask for.
type options struct {
	practice string
	axe      string // the file of axe-core
	shots    string // the folder for pictures; "" for none
	sessions int    // session pages of each client; 0 for all
	every    bool   // all rules of axe-core on every page and screen
}

func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	opts, err := parse(args, stderr)
	if errors.Is(err, flag.ErrHelp) {
		return 0
	}
	if err != nil {
		fmt.Fprintln(stderr, "browser:", err)
		return 2
	}
	began := time.Now()
	found, err := look(ctx, opts)
	if err != nil {
		fmt.Fprintln(stderr, "browser:", err)
		return 1
	}
	found.print(stdout, time.Since(began))
	if len(found.faults) > 0 {
		return 1
	}
	return 0
}

func parse(args []string, stderr io.Writer) (options, error) {
	var opts options
	flags := flag.NewFlagSet("browser", flag.ContinueOnError)
	flags.SetOutput(stderr)
	flags.StringVar(&opts.axe, "axe", ".cache/browser-node/node_modules/axe-core/axe.min.js", "`file` of axe-core; scripts/browser/run installs it")
	flags.StringVar(&opts.shots, "shots", "", "`folder` to leave pictures in")
	flags.IntVar(&opts.sessions, "sessions", 0, "session pages of each client to open, the newest; 0 for all")
	flags.BoolVar(&opts.every, "every", false, "all rules of axe-core on every page, on every screen; slow")
	if err := flags.Parse(args); err != nil {
		return opts, err
	}
	if flags.NArg() != 1 {
		return opts, errors.New("name one practice: browser [flags] PRACTICE")
	}
	opts.practice = flags.Arg(0)
	if _, err := os.Stat(opts.axe); err != nil {
		return opts, fmt.Errorf("%w; let scripts/browser/run install it, or name it with -axe", err)
	}
	return opts, nil
}

// look opens the pages and gathers what is wrong with them.
func look(ctx context.Context, opts options) (*report, error) {
	site, err := readSite(filepath.Join(opts.practice, "out", "review"))
	if err != nil {
		return nil, err
	}
	axe, err := os.ReadFile(opts.axe)
	if err != nil {
		return nil, err
	}
	ctx, stop, err := startBrowser(ctx)
	if err != nil {
		return nil, err
	}
	defer stop()

	found := newReport(site.root)
	looker := looker{site: site, axe: string(axe), every: opts.every, found: found}
	if err := looker.openAll(ctx, site.choose(opts.sessions)); err != nil {
		return nil, err
	}
	found.addLinks(site)
	t, stop, err := openTab(ctx)
	if err != nil {
		return nil, err
	}
	defer stop()
	if err := useIndex(t, site, found); err != nil {
		return nil, fmt.Errorf("index.html: %w", err)
	}
	if opts.shots != "" {
		return found, takeShots(t, site, found.richest, opts.shots)
	}
	return found, nil
}

// openAll looks at the pages, in a tab for each core.
func (l *looker) openAll(ctx context.Context, pages []string) error {
	group, ctx := errgroup.WithContext(ctx)
	var mu sync.Mutex
	next := 0
	take := func() (string, bool) {
		mu.Lock()
		defer mu.Unlock()
		if next == len(pages) {
			return "", false
		}
		next++
		return pages[next-1], true
	}
	for range runtime.GOMAXPROCS(0) {
		group.Go(func() error {
			t, stop, err := openTab(ctx)
			if err != nil {
				return err
			}
			defer stop()
			for page, more := take(); more; page, more = take() {
				if err := l.look(t, page); err != nil {
					return fmt.Errorf("%s: %w", page, err)
				}
			}
			return nil
		})
	}
	return group.Wait()
}
