package review

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"net/url"
)

// Page is one file of the review.
type Page struct {
	Path string // relative to the review's folder, with forward slashes
	HTML []byte // the file's contents
}

//go:embed templates
var sources embed.FS

// pages holds one template a page; each brings its own "main" and "title".
var pages = map[string]*template.Template{
	"index":   parsed("index.html"),
	"client":  parsed("client.html"),
	"session": parsed("session.html"),
}

func parsed(name string) *template.Template {
	return template.Must(template.New("page.html").Funcs(words).ParseFS(sources,
		"templates/page.html", "templates/parts.html", "templates/"+name))
}

// usualPage is the size, in bytes, that most pages stay below.
const usualPage = 48 << 10

// render executes a page's template on its view.
func render(name, path string, view any) (Page, error) {
	var buf bytes.Buffer
	buf.Grow(usualPage)
	if err := pages[name].Execute(&buf, view); err != nil {
		return Page{}, fmt.Errorf("review page %s: %w", path, err)
	}
	return Page{Path: path, HTML: buf.Bytes()}, nil
}

// Shared are the files that all pages use: the stylesheet and the script that
// puts a client's facts into the pages of the sessions.
func Shared() []Page {
	return []Page{
		{Path: "style.css", HTML: append([]byte(customProperties()), source("style.css")...)},
		{Path: "session.js", HTML: source("session.js")},
	}
}

func source(name string) []byte {
	text, err := sources.ReadFile("templates/" + name)
	if err != nil {
		panic("review: embedded file: " + err.Error())
	}
	return text
}

// ClientPath is where a client's page lies.
func ClientPath(client string) string { return "clients/" + client + ".html" }

// SessionPath is where a session's page lies.
func SessionPath(client, session string) string {
	return "sessions/" + client + "/" + session + ".html"
}

// FactsPath is where the facts of a client's sessions of one year lie.
func FactsPath(client string, year int) string {
	return fmt.Sprintf("sessions/%s/facts-%d.js", client, year)
}

// A client's id may hold what a link gives another meaning to (#, %, ?), so
// links are escaped a segment at a time.

func clientLink(up, client string) template.URL {
	return template.URL(up + "clients/" + url.PathEscape(client) + ".html")
}

func sessionLink(up, client, session string) template.URL {
	return template.URL(up + "sessions/" + url.PathEscape(client) + "/" + url.PathEscape(session) + ".html")
}
