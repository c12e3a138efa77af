package main

import (
	"context"
	_ "embed"
	"errors"
	"fmt"
	"os"
	"strings"
	"sync"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// screen is what a page is shown on.
type screen struct {
	name          string
	width, height int64
	dark, paper   bool
}

// The screens. A narrow one is as wide as the narrowest phones in use; paper
// is A4 less the margins in the stylesheet, at 96 px an inch, asked of a
// reader whose screen is dark.
var (
	wide       = screen{name: "wide", width: 1280, height: 800}
	wideDark   = screen{name: "wide-dark", width: 1280, height: 800, dark: true}
	narrow     = screen{name: "narrow", width: 360, height: 740}
	narrowDark = screen{name: "narrow-dark", width: 360, height: 740, dark: true}
	paper      = screen{name: "paper", width: 688, height: 1017, dark: true, paper: true}
)

// pageTimeout is the longest that anything asked of one page may take; a page
// takes a second or two on a busy machine.
const pageTimeout = time.Minute

//go:embed page.js
var pageScript string

// startBrowser starts a browser without a window.
func startBrowser(ctx context.Context) (context.Context, func(), error) {
	flags := chromedp.DefaultExecAllocatorOptions[:]
	if os.Geteuid() == 0 {
		// The browser refuses to run as root with its sandbox; it opens our
		// own pages only.
		flags = append(flags, chromedp.NoSandbox)
	}
	ctx, stopAllocator := chromedp.NewExecAllocator(ctx, flags...)
	ctx, stopBrowser := chromedp.NewContext(ctx)
	stop := func() { stopBrowser(); stopAllocator() }
	if err := chromedp.Do(ctx); err != nil {
		stop()
		return nil, nil, fmt.Errorf("no browser: %w; install Debian's chromium", err)
	}
	return ctx, stop, nil
}

// tab is one tab of the browser with what it complains of.
type tab struct {
	ctx context.Context

	mu       sync.Mutex
	messages []fault // without a page
}

func openTab(ctx context.Context) (*tab, func(), error) {
	ctx, stop := chromedp.NewContext(ctx)
	t := &tab{ctx: ctx}
	if err := chromedp.Listen(ctx, t.hear); err != nil {
		stop()
		return nil, nil, err
	}
	return t, stop, nil
}

// hear keeps what the page says of itself.
func (t *tab) hear(event any) {
	note := func(check, format string, args ...any) {
		t.mu.Lock()
		defer t.mu.Unlock()
		t.messages = append(t.messages, fault{Check: check, Detail: fmt.Sprintf(format, args...)})
	}
	switch e := event.(type) {
	case *runtime.EventExceptionThrown:
		note("console", "exception: %s", thrown(e.ExceptionDetails))
	case *runtime.EventConsoleAPICalled:
		note("console", "console.%s", e.Type)
	case *log.EventEntryAdded:
		note("console", "%s: %s %s", e.Entry.Level, e.Entry.Text, e.Entry.URL)
	case *network.EventLoadingFailed:
		note("resources", "a %s failed to load: %s", e.Type, e.ErrorText)
	case *network.EventRequestWillBeSent:
		if !strings.HasPrefix(e.Request.URL, "file:") && !strings.HasPrefix(e.Request.URL, "data:") {
			note("resources", "asks for %s", e.Request.URL)
		}
	}
}

func thrown(e *runtime.ExceptionDetails) string {
	if e.Exception != nil && e.Exception.Description != "" {
		return e.Exception.Description
	}
	return e.Text
}

// heard gives what was said since the last call, by check.
func (t *tab) heard() map[string][]string {
	t.mu.Lock()
	defer t.mu.Unlock()
	of := map[string][]string{}
	for _, m := range t.messages {
		of[m.Check] = append(of[m.Check], m.Detail)
	}
	t.messages = nil
	return of
}

// do runs steps within the time that a page may take.
func (t *tab) do(steps ...chromedp.Action[chromedp.Void]) error {
	ctx, cancel := context.WithTimeout(t.ctx, pageTimeout)
	defer cancel()
	return chromedp.Do(ctx, steps...)
}

// ask evaluates an expression in the page, waiting for a promise.
func ask[T any](t *tab, expression string) (T, error) {
	ctx, cancel := context.WithTimeout(t.ctx, pageTimeout)
	defer cancel()
	value, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		err = fmt.Errorf("asking %.60q: %w", expression, err)
	}
	return value, err
}

// show puts the page on a screen.
func (t *tab) show(s screen) error {
	media, scheme := "screen", "light"
	if s.paper {
		media = "print"
	}
	if s.dark {
		scheme = "dark"
	}
	return t.do(
		chromedp.EmulateViewport(s.width, s.height),
		chromedp.Func(func(ctx context.Context, target *chromedp.Target) error {
			_, err := cdp.Call(ctx, target, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
				Media: media, Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}},
			})
			return err
		}))
}

// open loads a page and waits until it stands still.
func (t *tab) open(address string) error {
	if err := t.do(chromedp.Navigate(address)); err != nil {
		return err
	}
	if err := t.do(evaluate(pageScript)); err != nil {
		return err
	}
	settled, err := ask[bool](t, "look.settled()")
	if err == nil && !settled {
		err = errors.New("never stands still")
	}
	return err
}

func evaluate(script string) chromedp.Action[chromedp.Void] {
	return chromedp.Evaluate[chromedp.Void](script)
}
