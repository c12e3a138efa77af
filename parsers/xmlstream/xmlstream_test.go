package xmlstream

import (
	"encoding/xml"
	"errors"
	"io"
	"math"
	"strings"
	"testing"
	"time"

	"boutwise/parsers/recording"
)

// render writes a stream of tokens as text, with a pair of tags for each
// element.
func render(t *testing.T, r *Reader) string {
	t.Helper()
	var b strings.Builder
	for {
		tok, err := r.Token()
		if err == io.EOF {
			return b.String()
		}
		if err != nil {
			return b.String() + "!" + err.Error()
		}
		switch tok := tok.(type) {
		case xml.StartElement:
			b.WriteString("<" + tok.Name.Local + ">")
		case xml.EndElement:
			b.WriteString("</" + tok.Name.Local + ">")
		case xml.CharData:
			b.Write(tok)
		}
	}
}

// TestRepair: whatever the damage, what comes out is well formed.
func TestRepair(t *testing.T) {
	for _, c := range []struct {
		name, in, want string
		why            string // of the salvage; "" for a whole document
	}{
		{"whole", "<a><b>x</b></a>", "<a><b>x</b></a>", ""},
		{"cut in text", "<a><b>x", "<a><b>x</b></a>", "ends early"},
		{"cut in a tag", "<a><b>x</b><c d='", "<a><b>x</b></a>", "ends early"},
		{"cut in a closing tag", "<a><b>x</", "<a><b>x</b></a>", "ends early"},
		{"cut in a comment", "<a><!-- x", "<a></a>", "ends early"},
		{"crossed tags", "<a><b>x</a></b>", "<a><b>x</b></a>", "closes no open element"},
		{"one closing tag too many", "<a></a></b>", "<a></a>", "closes no open element"},
		{"no markup", "<a><b>x</b><1/></a>", "<a><b>x</b></a>", "invalid XML name"},
		{"bare ampersand", "<a>fish & chips</a>", "<a>fish & chips</a>", ""},
		{"standard entities", "<a>&lt;&gt;&amp;&apos;&quot;&#65;</a>", `<a><>&'"A</a>`, ""},
		{"unknown entity", "<!DOCTYPE a [<!ENTITY b 'c'>]><a>&b;</a>", "<a>&b;</a>", ""},
		{"byte order mark", "\ufeff<a></a>", "\ufeff<a></a>", ""},
		{"nothing", "", "", ""},
	} {
		r := New([]byte(c.in), recording.GPX, recording.Limits{})
		if got := render(t, r); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
		salvage := strings.Join(r.Salvage(), "")
		if (c.why == "") != (salvage == "") || !strings.Contains(salvage, c.why) {
			t.Errorf("%s: salvage %q, want %q", c.name, salvage, c.why)
		}
	}
}

func TestDepth(t *testing.T) {
	lim := recording.Limits{MaxXMLDepth: 3}
	if got := render(t, New([]byte("<a><b><c/></b></a>"), recording.GPX, lim)); got != "<a><b><c></c></b></a>" {
		t.Errorf("at the limit: %q", got)
	}
	r := New([]byte("<a>\n<b><c><d/></c></b></a>"), recording.GPX, lim)
	if got := render(t, r); !strings.Contains(got, "line 2: larger than the limit: elements nest deeper than 3") {
		t.Errorf("beyond the limit: %q", got)
	}
	if _, err := r.Token(); !errors.Is(err, recording.ErrTooLarge) {
		t.Errorf("after the limit: %v", err)
	}
}

// TestLongRun stops at a tag that would hold millions of attributes, in UTF-8
// as behind a charset decoder.
func TestLongRun(t *testing.T) {
	for _, prolog := range []string{"", `<?xml version="1.0" encoding="ISO-8859-1"?>`} {
		doc := prolog + "<a><b>x</b><c " + strings.Repeat(`d="" `, maxRun/4) + "/></a>"
		r := New([]byte(doc), recording.GPX, recording.Limits{})
		if got := render(t, r); got != "<a><b>x</b></a>" || !strings.Contains(r.Salvage()[0], "longer than 1 MiB") {
			t.Errorf("%q: %q, salvage %q", prolog, got, r.Salvage())
		}
	}
}

func TestTime(t *testing.T) {
	want := time.Date(2025, 3, 1, 8, 0, 0, 0, time.UTC)
	for text, ms := range map[string]int64{
		"2025-03-01T08:00:00Z": 0, " 2025-03-01T08:00:00.5Z\n": 500, "2025-03-01T10:00:00+02:00": 0,
		"2025-03-01T10:00:00+0200": 0, "2025-03-01T08:00:00": 0, "2025-03-01 08:00:00": 0, "2025-03-01 08:00:00Z": 0,
	} {
		if got, ok := Time(text); !ok || got.UnixMilli() != want.UnixMilli()+ms {
			t.Errorf("%q: %v, %v", text, got, ok)
		}
	}
	for _, text := range []string{"2016-12-31T23:59:60Z", "2017-01-01T01:59:60+02:00"} {
		if got, ok := Time(text); !ok || !got.Equal(time.Date(2017, 1, 1, 0, 0, 0, 0, time.UTC)) {
			t.Errorf("%q: %v, %v", text, got, ok)
		}
	}
	for _, text := range []string{"", "2016-12-31T23:59:61Z", "2016-12-31T23:60:00Z", "2016-12-31T23:59:6", "soon", "2025-03-01", "2025-13-01T08:00:00Z"} {
		if got, ok := Time(text); ok {
			t.Errorf("%q: %v", text, got)
		}
	}
	local, _ := Time("2025-03-01T10:00:00+02:00")
	if o := UTCOffset(local); o == nil || *o != 2*time.Hour {
		t.Errorf("offset %v", o)
	}
	if o := UTCOffset(want); o != nil {
		t.Errorf("UTC tells the offset %v", *o)
	}
}

func TestNumber(t *testing.T) {
	for text, want := range map[string]float64{"1.5": 1.5, " -2\n": -2, "1e3": 1000} {
		if got := Number(text); got != want {
			t.Errorf("%q: %v", text, got)
		}
	}
	for _, text := range []string{"", "x", "NaN", "Inf", "-inf", "1e999", "12,5"} {
		if got := Number(text); !math.IsNaN(got) {
			t.Errorf("%q: %v", text, got)
		}
	}
}
