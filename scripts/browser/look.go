package main

import (
	"encoding/json"
	"fmt"
)

// link is a reference of a page, as written and as the browser resolves it.
type link struct {
	Reference string `json:"reference"`
	URL       string `json:"url"`
	Words     string `json:"words"`
}

// survey is what page.js tells of a page as it stands.
type survey struct {
	IDs    []string `json:"ids"`
	Links  []link   `json:"links"`
	Faults []fault  `json:"faults"`
	Rows   int      `json:"rows"`
}

// looker looks at single pages.
type looker struct {
	site  *site
	axe   string // the source of axe-core
	every bool
	found *report
}

// drawnRules are the rules of axe-core that depend on how a page is drawn and
// not only on what it says: on a second screen only they can find more.
var drawnRules = []string{"color-contrast", "link-in-text-block", "scrollable-region-focusable", "target-size"}

// look opens a page and puts it to every check but those of the index.
func (l *looker) look(t *tab, page string) error {
	if err := t.show(wide); err != nil {
		return err
	}
	t.heard()
	if err := t.open(l.site.address(page)); err != nil {
		return err
	}
	s, err := ask[survey](t, "look.survey()")
	if err != nil {
		return err
	}
	l.found.keep(page, s)
	l.judge(page, s.Faults, "content", "headings", "images")
	if err := l.lookNarrowAndPrinted(t, page); err != nil {
		return err
	}
	// Before axe-core, whose own words are not the page's.
	said := t.heard()
	l.found.add(page, "console", said["console"]...)
	l.found.add(page, "resources", said["resources"]...)
	return l.lookAccessible(t, page)
}

// judge counts a look for each check and adds the faults to theirs.
func (l *looker) judge(page string, faults []fault, checks ...string) {
	of := map[string][]string{}
	for _, f := range faults {
		of[f.Check] = append(of[f.Check], f.Detail)
	}
	for _, check := range checks {
		l.found.add(page, check, of[check]...)
		delete(of, check)
	}
	for check, details := range of {
		l.found.add(page, check, details...)
	}
}

func (l *looker) lookNarrowAndPrinted(t *tab, page string) error {
	for _, c := range []struct {
		screen screen
		ask    string
		check  string
	}{{narrow, "look.sideways()", "narrow"}, {paper, "look.printed()", "print"}} {
		if err := t.show(c.screen); err != nil {
			return err
		}
		faults, err := ask[[]fault](t, c.ask)
		if err != nil {
			return err
		}
		l.judge(page, faults, c.check)
	}
	return nil
}

func (l *looker) lookAccessible(t *tab, page string) error {
	if err := t.do(evaluate(l.axe)); err != nil {
		return err
	}
	for i, s := range []screen{wide, wideDark, narrow, narrowDark} {
		rules := []string{}
		if i > 0 && !l.every {
			rules = drawnRules
		}
		names, err := json.Marshal(rules)
		if err != nil {
			return err
		}
		if err := t.show(s); err != nil {
			return err
		}
		faults, err := ask[[]fault](t, fmt.Sprintf("look.accessible(%s)", names))
		if err != nil {
			return err
		}
		for j := range faults {
			faults[j].Detail = s.name + ": " + faults[j].Detail
		}
		l.judge(page, faults, "axe")
	}
	return nil
}
