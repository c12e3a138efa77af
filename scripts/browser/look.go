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

// accessible says what axe-core is asked on each screen: all its rules once,
// and then those only that can find more because the page is drawn otherwise.
var accessible = []struct {
	screen screen
	rules  []string // none for all
}{
	{wide, []string{}},
	{wideDark, contrastRules},
	{narrow, append([]string{"scrollable-region-focusable", "target-size"}, contrastRules...)},
	{narrowDark, contrastRules},
}

var contrastRules = []string{"color-contrast", "link-in-text-block"}

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
	for _, on := range accessible {
		rules := on.rules
		if l.every {
			rules = []string{}
		}
		names, err := json.Marshal(rules)
		if err != nil {
			return err
		}
		if err := t.show(on.screen); err != nil {
			return err
		}
		faults, err := ask[[]fault](t, fmt.Sprintf("look.accessible(%s)", names))
		if err != nil {
			return err
		}
		for j := range faults {
			faults[j].Detail = on.screen.name + ": " + faults[j].Detail
		}
		l.judge(page, faults, "axe")
	}
	return nil
}
