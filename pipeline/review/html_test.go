package review

import (
	"net/url"
	"path"
	"strings"
	"testing"

	"golang.org/x/net/html"
	"golang.org/x/net/html/atom"
)

// each visits every element of every HTML page of the site.
func each(t *testing.T, pages map[string]string, visit func(page string, n *html.Node)) {
	t.Helper()
	for name, text := range pages {
		if !strings.HasSuffix(name, ".html") {
			continue
		}
		root, err := html.Parse(strings.NewReader(text))
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		for n := range root.Descendants() {
			if n.Type == html.ElementNode {
				visit(name, n)
			}
		}
	}
}

func attr(n *html.Node, key string) (string, bool) {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val, true
		}
	}
	return "", false
}

func textOf(n *html.Node) string {
	var b strings.Builder
	for d := range n.Descendants() {
		if d.Type == html.TextNode {
			b.WriteString(d.Data)
		}
	}
	return strings.TrimSpace(b.String())
}

// Every link leads to a page, or to an element of its own page. Nothing is
// fetched from anywhere else.
func TestLinksResolve(t *testing.T) {
	pages := site(t)
	ids := map[string]bool{}
	each(t, pages, func(page string, n *html.Node) {
		if id, ok := attr(n, "id"); ok {
			if ids[page+"#"+id] {
				t.Errorf("%s: two elements with id %q", page, id)
			}
			ids[page+"#"+id] = true
		}
	})
	links := 0
	each(t, pages, func(page string, n *html.Node) {
		for _, key := range []string{"href", "src", "action", "xlink:href"} {
			ref, ok := attr(n, key)
			if !ok || ref == "data:," {
				continue
			}
			links++
			u, err := url.Parse(ref)
			if err != nil || u.Scheme != "" || u.Host != "" {
				t.Errorf("%s: %s=%q leaves the review (%v)", page, key, ref, err)
				continue
			}
			target := page
			if u.Path != "" {
				target = path.Join(path.Dir(page), u.Path)
			}
			if _, ok := pages[target]; !ok {
				t.Errorf("%s: %s=%q leads to %q, which is no page", page, key, ref, target)
			}
			if u.Fragment != "" && !ids[target+"#"+u.Fragment] {
				t.Errorf("%s: %q leads to no element", page, ref)
			}
		}
	})
	if links < 20 {
		t.Errorf("only %d links were looked at", links)
	}
}

// What the text says of other places must not be fetched: no url() or import
// in styles, and no address at all but the SVG namespace.
func TestNothingFromTheNetwork(t *testing.T) {
	for name, text := range site(t) {
		for _, sign := range []string{"http:", "https:", "//cdn", "@import", "url(", "fetch(", "XMLHttpRequest"} {
			if strings.Contains(text, sign) {
				t.Errorf("%s holds %q", name, sign)
			}
		}
	}
}

func TestNamesAreEscaped(t *testing.T) {
	for name, text := range site(t) {
		for _, raw := range []string{"<script>alert", "<of all>", "b<b>.tcx", "export <i>"} {
			if strings.Contains(text, raw) {
				t.Errorf("%s holds %q unescaped", name, raw)
			}
		}
		if strings.HasPrefix(name, "clients/") && !strings.Contains(text, "Ida &lt;script&gt;") {
			t.Errorf("%s does not name its client", name)
		}
	}
}

// Headings descend a level at a time from one h1; every page has its
// landmarks, a skip link and a language.
func TestStructure(t *testing.T) {
	pages := site(t)
	level := map[string]int{}
	count := map[string]int{}
	each(t, pages, func(page string, n *html.Node) {
		count[page+" "+n.Data]++
		switch n.DataAtom {
		case atom.H1, atom.H2, atom.H3, atom.H4:
			this := int(n.Data[1] - '0')
			if this > level[page]+1 {
				t.Errorf("%s: %s %q follows a heading of level %d", page, n.Data, textOf(n), level[page])
			}
			level[page] = this
		case atom.Html:
			if lang, _ := attr(n, "lang"); lang == "" {
				t.Errorf("%s: no language", page)
			}
		case atom.A:
			if class, _ := attr(n, "class"); class == "skip" {
				count[page+" skip"]++
			}
			if textOf(n) == "" {
				t.Errorf("%s: a link without words", page)
			}
		}
	})
	for page := range level {
		for what, want := range map[string]int{"h1": 1, "main": 1, "header": 1, "footer": 1, "skip": 1, "title": 1} {
			if got := count[page+" "+what]; got != want {
				t.Errorf("%s: %d of %s, want %d", page, got, what, want)
			}
		}
	}
	if len(level) != 4 {
		t.Errorf("looked at %d pages, want 4", len(level))
	}
}

// Tables have captions and headed columns and rows; drawings are either
// decoration or stand in a labelled image; what scrolls is reached by keyboard
// and named; what is labelled by an element finds it.
func TestAccessibleNames(t *testing.T) {
	pages := site(t)
	ids := map[string]bool{}
	each(t, pages, func(page string, n *html.Node) {
		if id, ok := attr(n, "id"); ok {
			ids[page+"#"+id] = true
		}
	})
	each(t, pages, func(page string, n *html.Node) {
		if by, ok := attr(n, "aria-labelledby"); ok && !ids[page+"#"+by] {
			t.Errorf("%s: <%s> is labelled by %q, which is not there", page, n.Data, by)
		}
		switch n.DataAtom {
		case atom.Table:
			if first := firstElement(n); first == nil || first.DataAtom != atom.Caption || textOf(first) == "" {
				t.Errorf("%s: a table without a caption", page)
			}
		case atom.Th:
			if scope, _ := attr(n, "scope"); scope != "col" && scope != "row" {
				t.Errorf("%s: heading %q without a scope", page, textOf(n))
			}
		case atom.Svg:
			if hidden, _ := attr(n, "aria-hidden"); hidden != "true" {
				t.Errorf("%s: a drawing that a screen reader would spell out", page)
			}
		case atom.Figure:
			checkFigure(t, page, n)
		case atom.Div:
			checkScroll(t, page, n)
		case atom.Input, atom.Select:
			if n.Parent.DataAtom != atom.Label {
				t.Errorf("%s: a field without a label", page)
			}
		}
	})
}

func firstElement(n *html.Node) *html.Node {
	for c := range n.ChildNodes() {
		if c.Type == html.ElementNode {
			return c
		}
	}
	return nil
}

func checkFigure(t *testing.T, page string, figure *html.Node) {
	t.Helper()
	images := 0
	for n := range figure.Descendants() {
		if role, _ := attr(n, "role"); role == "img" {
			images++
			if label, _ := attr(n, "aria-label"); len(label) < 20 {
				t.Errorf("%s: an image labelled %q says too little", page, label)
			}
		}
	}
	if images != 1 {
		t.Errorf("%s: a figure with %d images, want 1", page, images)
	}
}

func checkScroll(t *testing.T, page string, div *html.Node) {
	t.Helper()
	if class, _ := attr(div, "class"); class != "scroll" {
		return
	}
	_, labelled := attr(div, "aria-labelledby")
	_, label := attr(div, "aria-label")
	if !labelled && !label {
		t.Errorf("%s: a region that scrolls has no name", page)
	}
	if stop, _ := attr(div, "tabindex"); stop != "0" {
		t.Errorf("%s: a region that scrolls cannot be reached by keyboard", page)
	}
}

// A suggestion never stands without its caution.
func TestSuggestionsCarryCaution(t *testing.T) {
	shown := 0
	for name, text := range site(t) {
		if !strings.Contains(text, "one more round") {
			continue
		}
		shown++
		for _, caution := range []string{Caution, "Ask the clinician <first>."} {
			if !strings.Contains(text, html.EscapeString(caution)) {
				t.Errorf("%s suggests harder work without saying %q", name, caution)
			}
		}
	}
	if shown != 2 {
		t.Errorf("the suggestion stands on %d pages, want the client's and the index", shown)
	}
}
