package review

import "html/template"

// markup builds the rows of a table that has very many of them, or stands on very
// many pages: for these a template takes many times as long as all else that a
// night does for a client.
type markup []byte

// raw adds what is markup already, or words and figures of our own.
func (m *markup) raw(parts ...string) {
	for _, part := range parts {
		*m = append(*m, part...)
	}
}

// text adds what others wrote.
func (m *markup) text(s string) { m.raw(template.HTMLEscapeString(s)) }

// figure adds a cell with a figure.
func (m *markup) figure(s string) { m.raw(`<td class="n">`, s, `</td>`) }

// word adds a cell with a table's word.
func (m *markup) word(s string) {
	m.raw(`<td>`)
	m.text(plain(s))
	m.raw(`</td>`)
}

// small adds a line below a figure.
func (m *markup) small(parts ...string) {
	m.raw(`<br><span class="when">`)
	m.raw(parts...)
	m.raw(`</span>`)
}

// row is what has a line of its own in such a table.
type row interface{ write(*markup) }

// rowsOf joins the lines of a table, each behind a line break.
func rowsOf[R row](list []R) template.HTML {
	m := make(markup, 0, len(list)*rowBytes)
	for _, r := range list {
		m.raw("\n")
		r.write(&m)
	}
	return template.HTML(m)
}

// rowBytes is what most rows stay below.
const rowBytes = 640
