package main

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"
	"sync"
	"time"
)

// fault is one thing that a reader would stumble over.
type fault struct {
	Page   string
	Check  string
	Detail string
}

// checks says what is looked at, in the order of the printed table.
var checks = []struct{ name, means string }{
	{"console", "loads from disk without a word on the console"},
	{"resources", "asks for nothing that is missing or lies elsewhere"},
	{"content", "shows something"},
	{"links", "links lead to files and places that exist"},
	{"headings", "headings descend in order"},
	{"images", "drawings are there and have labels"},
	{"narrow", "does not scroll sideways at 360 px"},
	{"print", "on paper: no navigation, nothing cut off, never dark"},
	{"axe", "axe-core finds nothing, light and dark, wide and narrow"},
	{"index", "the list of clients finds, shows and sorts"},
	{"keyboard", "the same by keyboard alone, with the focus in sight"},
}

// report gathers what the tabs find.
type report struct {
	root string

	mu     sync.Mutex
	faults []fault
	looked map[string]int             // how much a check has looked at
	links  map[string][]link          // by page
	ids    map[string]map[string]bool // of elements, by page

	// richest is the session page with the most rows in its tables: the one to
	// take a picture of.
	richest string
	rows    int
}

func newReport(root string) *report {
	return &report{root: root, looked: map[string]int{}, links: map[string][]link{}, ids: map[string]map[string]bool{}}
}

func (r *report) add(page, check string, details ...string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.looked[check]++
	for _, d := range details {
		r.faults = append(r.faults, fault{page, check, d})
	}
}

// keep remembers of a page what other pages' links need.
func (r *report) keep(page string, s survey) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.links[page] = s.Links
	r.ids[page] = map[string]bool{}
	for _, id := range s.IDs {
		r.ids[page][id] = true
	}
	// Of equals the last by name, whichever tab was faster.
	if strings.HasPrefix(page, "sessions/") && (s.Rows > r.rows || s.Rows == r.rows && page > r.richest) {
		r.richest, r.rows = page, s.Rows
	}
}

// addLinks follows every link, once all pages have been seen.
func (r *report) addLinks(s *site) {
	for page, links := range r.links {
		for _, l := range links {
			if why := r.broken(s, l); why != "" {
				r.add(page, "links", fmt.Sprintf("%q (%s) %s", l.Reference, l.Words, why))
			} else {
				r.add(page, "links")
			}
		}
	}
}

// broken says what is wrong with a link; "" for nothing.
func (r *report) broken(s *site, l link) string {
	if strings.HasPrefix(l.Reference, "data:") {
		return ""
	}
	file, fragment, err := s.place(l.URL)
	if err != nil {
		return err.Error()
	}
	if !s.files[file] {
		return "leads to no file"
	}
	if ids, opened := r.ids[file]; opened && fragment != "" && !ids[fragment] {
		return "leads to no element"
	}
	return ""
}

// alike is a fault that stands on several pages.
type alike struct {
	check, detail string
	pages         []string
}

// alikes gathers faults by check and detail, for the same one often stands on
// every page.
func (r *report) alikes() []alike {
	slices.SortFunc(r.faults, func(a, b fault) int {
		return cmp.Or(strings.Compare(a.Check, b.Check), strings.Compare(a.Detail, b.Detail), strings.Compare(a.Page, b.Page))
	})
	var list []alike
	for _, f := range r.faults {
		if last := len(list) - 1; last >= 0 && list[last].check == f.Check && list[last].detail == f.Detail {
			list[last].pages = append(list[last].pages, f.Page)
			continue
		}
		list = append(list, alike{f.Check, f.Detail, []string{f.Page}})
	}
	return list
}

func (r *report) print(w io.Writer, took time.Duration) {
	of := map[string]int{}
	for _, a := range r.alikes() {
		of[a.check] += len(a.pages)
		fmt.Fprintf(w, "%s: %s: %s", a.pages[0], a.check, a.detail)
		if more := len(a.pages) - 1; more > 0 {
			fmt.Fprintf(w, " (and %d times more)", more)
		}
		fmt.Fprintln(w)
	}
	fmt.Fprintf(w, "\n%d pages of %s opened in %.0f s\n\n", len(r.ids), r.root, took.Seconds())
	fmt.Fprintf(w, "  %-10s %7s %7s\n", "", "looks", "faults")
	for _, c := range checks {
		fmt.Fprintf(w, "  %-10s %7d %7d  %s\n", c.name, r.looked[c.name], of[c.name], c.means)
	}
}
