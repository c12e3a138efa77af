package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// list is the index's table of clients as a reader sees it.
type list struct {
	Headings []heading  `json:"headings"`
	Rows     [][]string `json:"rows"` // those in sight
	Total    int        `json:"total"`
	Count    string     `json:"count"` // how many are shown, in words
}

type heading struct {
	Text   string `json:"text"`
	Sorted string `json:"sorted"` // its aria-sort
}

// focus is what the keyboard acts on.
type focus struct {
	Tag     string `json:"tag"`
	ID      string `json:"id"`
	Text    string `json:"text"`
	Column  int    `json:"column"` // of the heading that it stands in; -1 for none
	Visible bool   `json:"visible"`
}

// indexUser uses the morning page as a coach does.
type indexUser struct {
	*tab
	address string
	found   *report
	all     list // as the page opens
}

// useIndex finds, shows and sorts clients, with the mouse and by keyboard.
func useIndex(t *tab, s *site, found *report) error {
	u := &indexUser{tab: t, address: s.address("index.html"), found: found}
	if err := u.show(wide); err != nil {
		return err
	}
	all, err := u.reopened()
	if err != nil {
		return err
	}
	u.all = all
	if len(all.Rows) != all.Total {
		u.fault("index", "opens with %d of %d clients in sight", len(all.Rows), all.Total)
	}
	if len(all.Rows) == 0 {
		return nil
	}
	for _, try := range []func() error{u.findWords, u.showSome, u.followMore, u.sortColumns, u.byKeyboard} {
		if err := try(); err != nil {
			return err
		}
	}
	return nil
}

func (u *indexUser) fault(check, format string, args ...any) {
	u.found.add("index.html", check, fmt.Sprintf(format, args...))
}

// reopened is the list of a page loaded anew.
func (u *indexUser) reopened() (list, error) {
	if err := u.open(u.address); err != nil {
		return list{}, err
	}
	return ask[list](u.tab, "look.list()")
}

// expect holds that exactly those rows of the whole list are in sight that fit.
func (u *indexUser) expect(check, what string, fits func(row []string) bool) error {
	got, err := ask[list](u.tab, "look.list()")
	if err != nil {
		return err
	}
	var want [][]string
	for _, row := range u.all.Rows {
		if fits(row) {
			want = append(want, row)
		}
	}
	u.found.add("index.html", check)
	if !slices.EqualFunc(got.Rows, want, slices.Equal) {
		u.fault(check, "%s: %d clients in sight, want %d, or others", what, len(got.Rows), len(want))
	}
	if count := fmt.Sprintf("%d of %d", len(want), u.all.Total); !strings.HasPrefix(got.Count, count) {
		u.fault(check, "%s: says %q, want %q", what, got.Count, count)
	}
	return nil
}

// findWords types into the field: part of a name, words of two columns the
// other way round, and what nobody is called.
func (u *indexUser) findWords() error {
	last := u.all.Rows[len(u.all.Rows)-1]
	name := strings.ToLower(last[0])
	for _, typed := range []string{name[:min(4, len(name))], last[2] + " " + name, "no such client"} {
		if _, err := u.reopened(); err != nil {
			return err
		}
		if err := u.do(chromedp.SendKeys(chromedp.CSS("#find"), typed)); err != nil {
			return err
		}
		if err := u.expect("index", "typed "+typed, holdsWords(typed)); err != nil {
			return err
		}
	}
	return nil
}

// holdsWords tells rows that hold every word, in any order and case.
func holdsWords(typed string) func([]string) bool {
	return func(row []string) bool {
		text := strings.ToLower(strings.Join(row, " "))
		return !slices.ContainsFunc(strings.Fields(strings.ToLower(typed)), func(w string) bool { return !strings.Contains(text, w) })
	}
}

// choices are what can be shown, in the order of the page, and how a reader
// tells those rows from the table itself.
var choices = []struct {
	words string
	show  string // the same in a link's data-show
	fits  func(u *indexUser, row []string) bool
}{
	{"all clients", "", func(*indexUser, []string) bool { return true }},
	{"who needs attention", "attention", func(u *indexUser, row []string) bool { return u.cell(row, "Attention").known }},
	{"who did less than asked last week", "short", func(u *indexUser, row []string) bool {
		kept := u.cell(row, "Last week")
		return strings.Contains(kept.text, " of ") && kept.number < 1
	}},
	{"who has a step to consider", "steps", func(u *indexUser, row []string) bool {
		step := u.cell(row, "To consider")
		return step.known && step.text != "hold"
	}},
}

// choose are the keys that pick a choice in a list that has the focus.
func choose(i int) string { return kb.Home + strings.Repeat(kb.ArrowDown, i) }

func (u *indexUser) showSome() error {
	if _, err := u.reopened(); err != nil {
		return err
	}
	for i, c := range choices {
		if err := u.do(chromedp.SendKeys(chromedp.CSS("#only"), choose(i))); err != nil {
			return err
		}
		if err := u.expect("index", "shown "+c.words, func(row []string) bool { return c.fits(u, row) }); err != nil {
			return err
		}
	}
	return nil
}

// followMore clicks the links that lead from a list that was cut short to the
// rest of it, where there are any.
func (u *indexUser) followMore() error {
	for _, c := range choices {
		link := fmt.Sprintf("a[data-show=%q]", c.show)
		there, err := ask[bool](u.tab, fmt.Sprintf("document.querySelector(%q) !== null", link))
		if err != nil {
			return err
		}
		if !there {
			continue
		}
		if err := u.do(chromedp.Click(chromedp.CSS(link))); err != nil {
			return err
		}
		if err := u.expect("index", "followed to "+c.words, func(row []string) bool { return c.fits(u, row) }); err != nil {
			return err
		}
	}
	return nil
}

// sortColumns clicks every heading twice.
func (u *indexUser) sortColumns() error {
	if _, err := u.reopened(); err != nil {
		return err
	}
	for column := range u.all.Headings {
		button := chromedp.CSS(fmt.Sprintf("#clientlist thead th:nth-child(%d) button", column+1))
		for _, direction := range []string{"ascending", "descending"} {
			if err := u.do(chromedp.Click(button)); err != nil {
				return err
			}
			if err := u.expectSorted("index", column, direction); err != nil {
				return err
			}
		}
	}
	return nil
}

// expectSorted holds that a column, and no other, is sorted and says so.
func (u *indexUser) expectSorted(check string, column int, direction string) error {
	got, err := ask[list](u.tab, "look.list()")
	if err != nil {
		return err
	}
	u.found.add("index.html", check)
	name := u.all.Headings[column].Text
	for i, h := range got.Headings {
		if want := map[bool]string{true: direction}[i == column]; h.Sorted != want {
			u.fault(check, "sorted by %q: the heading %q says %q, want %q", name, h.Text, h.Sorted, want)
		}
	}
	if len(got.Rows) != u.all.Total {
		u.fault(check, "sorted by %q: %d clients in sight, want %d", name, len(got.Rows), u.all.Total)
	}
	for i := 1; i < len(got.Rows); i++ {
		a, b := readCell(got.Rows[i-1][column]), readCell(got.Rows[i][column])
		if !inOrder(a, b, direction == "descending") {
			u.fault(check, "sorted by %q %s: %q stands before %q", name, direction, a.text, b.text)
		}
	}
	return nil
}

// byKeyboard does the same with the tabulator, letters and the return key.
func (u *indexUser) byKeyboard() error {
	if _, err := u.reopened(); err != nil {
		return err
	}
	first, err := u.tabTo(func(focus) bool { return true })
	if err != nil {
		return err
	}
	if !strings.HasPrefix(first.Text, "Skip") {
		u.fault("keyboard", "the first stop is %q, not the way past the head of the page", first.Text)
	}
	name := strings.ToLower(u.all.Rows[0][0])
	if _, err := u.tabTo(func(f focus) bool { return f.ID == "find" }); err != nil {
		return err
	}
	if err := u.do(chromedp.KeyEvent(name)); err != nil {
		return err
	}
	if err := u.expect("keyboard", "typed "+name, holdsWords(name)); err != nil {
		return err
	}
	if err := u.do(chromedp.KeyEvent(strings.Repeat(kb.Backspace, len(name)))); err != nil {
		return err
	}
	if _, err := u.tabTo(func(f focus) bool { return f.ID == "only" }); err != nil {
		return err
	}
	for i, c := range choices {
		if err := u.do(chromedp.KeyEvent(choose(i))); err != nil {
			return err
		}
		if err := u.expect("keyboard", "shown "+c.words, func(row []string) bool { return c.fits(u, row) }); err != nil {
			return err
		}
	}
	if err := u.do(chromedp.KeyEvent(choose(0))); err != nil {
		return err
	}
	for column := range u.all.Headings {
		if _, err := u.tabTo(func(f focus) bool { return f.Column == column }); err != nil {
			return err
		}
		for _, press := range []struct{ key, direction string }{{kb.Enter, "ascending"}, {" ", "descending"}} {
			if err := u.do(chromedp.KeyEvent(press.key)); err != nil {
				return err
			}
			if err := u.expectSorted("keyboard", column, press.direction); err != nil {
				return err
			}
		}
	}
	return nil
}

// mostStops is more than the page has places for the keyboard to stop at.
const mostStops = 2000

// tabTo presses the tabulator until the focus is wanted; it must be in sight
// at every stop.
func (u *indexUser) tabTo(wanted func(focus) bool) (focus, error) {
	for range mostStops {
		if err := u.do(chromedp.KeyEvent(kb.Tab)); err != nil {
			return focus{}, err
		}
		at, err := ask[focus](u.tab, "look.focused()")
		if err != nil {
			return focus{}, err
		}
		u.found.add("index.html", "keyboard")
		if !at.Visible {
			u.fault("keyboard", "nothing shows that %s %q has the focus", at.Tag, at.Text)
		}
		if wanted(at) {
			return at, nil
		}
	}
	return focus{}, fmt.Errorf("the keyboard does not get there in %d steps", mostStops)
}

// cell reads a row's cell by its heading.
func (u *indexUser) cell(row []string, heading string) cell {
	for i, h := range u.all.Headings {
		if h.Text == heading {
			return readCell(row[i])
		}
	}
	return cell{}
}

// cell is what the words of a table's cell mean to a reader.
type cell struct {
	text    string
	number  float64
	numeric bool
	known   bool // false for a dash
}

// readCell reads a cell without knowing how the page sorts.
func readCell(text string) cell {
	c := cell{text: strings.ToLower(text), numeric: true, known: text != "–" && text != ""}
	first, rest, _ := strings.Cut(strings.TrimRight(c.text, ","), " ")
	first = strings.TrimRight(first, ",")
	number, err := strconv.ParseFloat(first, 64)
	of, isShare := strings.CutPrefix(rest, "of ")
	switch whole, bad := strconv.ParseFloat(of, 64); {
	case err == nil && isShare && bad == nil && whole > 0:
		c.number = number / whole
	case err == nil:
		c.number = number
	case first == "today":
	case first == "yesterday":
		c.number = 1
	case first == "never":
		c.number = 1e9
	case first == "■": // urgent
	case first == "▲": // soon
		c.number = 1
	default:
		c.numeric = false
	}
	return c
}

// inOrder tells whether a may stand before b. What is not known stands last,
// whatever the direction.
func inOrder(a, b cell, descending bool) bool {
	switch {
	case !a.known || !b.known:
		return a.known || !b.known
	case descending:
		a, b = b, a
	}
	if a.numeric && b.numeric {
		return a.number <= b.number
	}
	// The names of the demonstration need no collation.
	return a.text <= b.text
}
