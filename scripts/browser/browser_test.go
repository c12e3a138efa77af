package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"boutwise/pipeline/review"
)

// axeFile is where scripts/browser/run puts axe-core, seen from here.
const axeFile = "../../.cache/browser-node/node_modules/axe-core/axe.min.js"

// needBrowser starts a browser for a test that may run beside others, or skips
// the test where none is promised: go test ./... passes with Go alone.
func needBrowser(t *testing.T) context.Context {
	t.Helper()
	t.Parallel()
	if os.Getenv("BOUTWISE_BROWSER") == "" {
		t.Skip("needs a browser and axe-core; scripts/browser/run has them")
	}
	ctx, stop, err := startBrowser(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(stop)
	return ctx
}

// faulty are pages with one fault each, and the check that must find it. The
// text goes into a page that is sound otherwise.
var faulty = []struct{ name, check, text string }{
	{"sound", "", `<p>All is well. <a href="index.html">Here</a></p>`},
	{"speaks", "console", `<script>console.warn("so so")</script>`},
	{"throws", "console", `<script>throw new Error("no")</script>`},
	{"rejects", "console", `<script>Promise.reject(new Error("no"))</script>`},
	{"missing-image", "resources", `<img src="none.png" alt="none">`},
	{"missing-script", "resources", `<script src="none.js"></script>`},
	{"elsewhere", "resources", `<img src="http://192.0.2.1/none.png" alt="none">`},
	{"empty", "content", ``},
	{"no-facts", "content", `<p>Words</p><div id="asked-part" hidden><p>Words</p></div>`},
	{"dead-link", "links", `<a href="none.html">There</a>`},
	{"dead-fragment", "links", `<a href="index.html#none">There</a>`},
	{"outward-link", "links", `<a href="../../etc/hostname">There</a>`},
	{"twice", "links", `<p id="a">One</p><p id="a">Two</p>`},
	{"leap", "headings", `<h3>Deep</h3>`},
	{"second", "headings", `<h1>Again</h1>`},
	{"unlabelled", "images", `<svg width="90" height="90"><circle r="40"/></svg>`},
	{"undrawn", "images", `<figure><div role="img" aria-label="Something"></div><figcaption>Words</figcaption></figure>`},
	{"wide", "narrow", `<p style="width: 500px">Wide</p>`},
	{"sticks-out", "narrow", `<div style="overflow-x: auto"><p><span style="position: absolute; left: 600px">Out</span></p></div>`},
	{"printed-nav", "print", `<nav aria-label="More" style="display: block !important"><p>Words</p></nav>`},
	{"cut-off", "print", `<div tabindex="0" style="overflow-x: auto !important"><p style="min-width: 900px">Wide</p></div>`},
	{"off-paper", "print", `<style>@media print { #p { min-width: 900px } }</style><p id="p">Wide</p>`},
	{"folded", "print", `<style>@media print { details::details-content { content-visibility: hidden !important } }</style><details><summary>More</summary><p>Words</p></details>`},
	{"dark-paper", "print", `<style>@media print { body { background: black !important; color: white !important } }</style><p>Words</p>`},
	{"pale-paper", "print", `<style>@media print { p { color: #bbb !important } }</style><p>Words</p>`},
	{"nameless", "axe", `<button></button>`},
	{"pale", "axe", `<p style="color: #aaa; background: #fff">Words</p>`},
	{"pale-at-night", "axe", `<style>@media (prefers-color-scheme: dark) { p { color: #444; background: #222 } }</style><p>Words</p>`},
	{"pale-when-narrow", "axe", `<style>@media (max-width: 400px) { p { color: #aaa; background: #fff } }</style><p>Words</p>`},
}

// Each check finds the fault that it is for, and finds none in a sound page.
func TestEachCheckFindsItsFault(t *testing.T) {
	browser := needBrowser(t)
	root := t.TempDir()
	write := func(name, text string) {
		t.Helper()
		if err := os.WriteFile(filepath.Join(root, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	for _, shared := range review.Shared() {
		write(shared.Path, string(shared.HTML))
	}
	const frame = `<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width">` +
		`<title>%s</title><link rel="icon" href="data:,"><link rel="stylesheet" href="style.css"></head><body><header><h1>Page</h1></header><main>%s</main></body></html>`
	write("index.html", fmt.Sprintf(frame, "index", "<p>Words</p>"))
	var pages []string
	for _, f := range faulty {
		write(f.name+".html", fmt.Sprintf(frame, f.name, f.text))
		pages = append(pages, f.name+".html")
	}
	s, err := readSite(root)
	if err != nil {
		t.Fatal(err)
	}
	axe, err := os.ReadFile(axeFile)
	if err != nil {
		t.Fatal(err)
	}
	found := newReport(s.root)
	l := looker{site: s, axe: string(axe), found: found}
	if err := l.openAll(browser, append(pages, "index.html")); err != nil {
		t.Fatal(err)
	}
	found.addLinks(s)
	for _, f := range faulty {
		var checks []string
		for _, fault := range found.faults {
			if fault.Page == f.name+".html" {
				checks = append(checks, fault.Check)
			}
		}
		if f.check == "" && len(checks) > 0 || f.check != "" && !slices.Contains(checks, f.check) {
			t.Errorf("%s: found faults of %v, want %q", f.name, checks, f.check)
		}
	}
}

// broken are morning pages whose list of clients does not do what it says.
var broken = []struct{ name, check, file, old, new string }{
	{"sorts nothing", "index", "index.html", "body.append.apply(body,", "void (body,"},
	{"sorts one way only", "index", "index.html", `!== "ascending";`, `!== "";`},
	{"does not say how it is sorted", "index", "index.html", `heading.setAttribute("aria-sort"`, `heading.setAttribute("data-sort"`},
	{"keeps saying how it was sorted", "index", "index.html", `h.removeAttribute("aria-sort")`, `h.removeAttribute("data-sort")`},
	{"hides nothing", "index", "index.html", "r.row.hidden = !fits", "r.row.title = fits"},
	{"finds any of the words", "index", "index.html", "words.every(", "words.some("},
	{"miscounts", "index", "index.html", "shown += fits ? 1 : 0", "shown += 1"},
	{"shows all", "index", "index.html", "r.shown.includes(only.value)", "true"},
	{"sorts for the mouse only", "keyboard", "index.html", `button.addEventListener("click"`, `button.addEventListener("mousedown"`},
	{"hides the focus", "keyboard", "style.css", ":focus-visible { outline: 3px solid", ":focus-visible { outline: 0 solid"},
}

func TestBrokenListsAreFound(t *testing.T) {
	browser := needBrowser(t)
	data := thousand(t)
	data.Clients, data.Arrived = data.Clients[:12], nil // few stops for the keyboard
	page, err := review.Index(data)
	if err != nil {
		t.Fatal(err)
	}
	tab, stop, err := openTab(browser)
	if err != nil {
		t.Fatal(err)
	}
	defer stop()
	for _, b := range broken {
		found := newReport("")
		root := t.TempDir()
		for _, p := range append(review.Shared(), page) {
			text := string(p.HTML)
			if p.Path == b.file {
				if text = strings.Replace(text, b.old, b.new, 1); text == string(p.HTML) {
					t.Fatalf("%s: %s does not hold %q", b.name, b.file, b.old)
				}
			}
			if err := os.WriteFile(filepath.Join(root, p.Path), []byte(text), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		s, err := readSite(root)
		if err != nil {
			t.Fatal(err)
		}
		if err := useIndex(tab, s, found); err != nil {
			t.Fatal(err)
		}
		if !slices.ContainsFunc(found.faults, func(f fault) bool { return f.Check == b.check }) {
			t.Errorf("a list that %s: no fault of %q in %v", b.name, b.check, found.faults)
		}
	}
}
