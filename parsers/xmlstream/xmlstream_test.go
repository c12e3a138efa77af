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
		{"control characters", "<a>1\x0145\x00</a>\x0b", "<a>1 45 </a> ", "were replaced"},
		{"control character in a tag", "<a><b\x02>x</b></a>", "<a><b>x</b></a>", "were replaced"},
		{"references to control characters", "<a>1&#1;4&#x1F;5&#0000000011;</a>", "<a>1 4 5 </a>", "were replaced"},
		{"reference that is none", "<a>&#1 &#; &#x110000; &#xG; &#9;</a>", "<a>&#1 &#; &#x110000; &#xG; \t</a>", ""},
		{"no characters", "<a>\ufffe\uffff</a>", "<a>\ufffd\ufffd</a>", "were replaced"},
		{"Windows-1252 in UTF-8", "<a>M\xfcller ü \x80 €</a>", "<a>Müller ü € €</a>", "were replaced"},
		{"Latin-1, said to be UTF-8", `<?xml version="1.0" encoding="UTF-8"?><a>M` + "\xfcller</a>", "<a>Müller</a>", "were replaced"},
		{"Latin-1, said to be utf8", `<?xml version="1.0" encoding="utf8"?><a>M` + "\xfcller</a>", "<a>Müller</a>", "were replaced"},
		{"Latin-1 as declared", `<?xml version="1.0" encoding="ISO-8859-1"?><a>M` + "\xfcller</a>", "<a>Müller</a>", ""},
		{"control character in Latin-1", `<?xml version="1.0" encoding="ISO-8859-1"?><a>M` + "\xfc\x01</a>", "<a>Mü </a>", "were replaced"},
		{"charset that nobody knows", `<?xml version="1.0" encoding="klingon"?><a>Müller</a>`, "<a>Müller</a>", ""},
		{"cut in a character", "<a>M\xc3", "<a>MÃ</a>", "were replaced"},
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

// TestResume: behind damage, reading goes on at the next point, or track.
func TestResume(t *testing.T) {
	const told = "XML damaged at line 1 (</x> closes no open element): "
	for _, c := range []struct {
		name, in, want string
		salvage        []string
	}{
		{"once", "<g><trkseg><trkpt>1</x></trkpt><trkpt>2</trkpt></trkseg></g>",
			"<g><trkseg><trkpt>1</trkpt><trkpt>2</trkpt></trkseg></g>", []string{told + "went on behind it"}},
		{"twice", "<g><trkseg><trkpt><a>1</x></trkpt>\n<trkpt>2</trkpt></y>lost<trkpt/></trkseg></g>",
			"<g><trkseg><trkpt><a>1</a></trkpt><trkpt>2</trkpt><trkpt></trkpt></trkseg></g>",
			[]string{told + "went on behind it, 2 times in all"}},
		{"and cut", "<g><trkseg><trkpt></x><trkpt>2</trkpt><trkpt>3",
			"<g><trkseg><trkpt></trkpt><trkpt>2</trkpt><trkpt>3</trkpt></trkseg></g>",
			[]string{told + "went on behind it", "XML damaged at line 1 (the file ends early): read up to there"}},
		{"no markup", "<g><trkseg><trkpt><1/></trkpt><trkpt>2</trkpt></trkseg></g>",
			"<g><trkseg><trkpt></trkpt><trkpt>2</trkpt></trkseg></g>",
			[]string{"XML damaged at line 1 (invalid XML name: 1): went on behind it"}},
		{"with a prefix", "<p:g><p:trkseg></x><trkpt/><p:trkpts/><p:trkpt>2</p:trkpt></p:trkseg></p:g>",
			"<g><trkseg><trkpt>2</trkpt></trkseg></g>", []string{told + "went on behind it"}},
		{"no point left", "<g><trkseg><trkpt></x></trkseg><trkseg><trkpt/></trkseg></g>", "<g><trkseg><trkpt></trkpt></trkseg><trkseg><trkpt></trkpt></trkseg></g>",
			[]string{told + "went on behind it"}},
		{"nothing left", "<g><trkseg><trkpt></x></g>", "<g><trkseg><trkpt></trkpt></trkseg></g>", []string{told + "read up to there"}},
		{"before the points", "<gpx><a>1</x></a><trks/><trk>2<b></x><trkseg/></trk></gpx>",
			"<gpx><a>1</a><trk>2<b></b><trkseg></trkseg></trk></gpx>", []string{told + "went on behind it, 2 times in all"}},
		{"in what has no parts", "<g></x><trkseg><trkpt/></trkseg></g>", "<g></g>", []string{told + "read up to there"}},
	} {
		r := New([]byte(c.in), recording.GPX, recording.Limits{})
		if got := render(t, r); strings.ReplaceAll(got, "\n", "") != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
		if got := r.Salvage(); strings.Join(got, "|") != strings.Join(c.salvage, "|") || !r.Damaged() {
			t.Errorf("%s: salvage %q, want %q", c.name, got, c.salvage)
		}
	}
	// Each time costs a tokenizer, so there is an end to it.
	r := New([]byte("<trkseg>"+strings.Repeat("<trkpt></x>", maxResumed+2)), recording.GPX, recording.Limits{})
	if got := render(t, r); strings.Count(got, "<trkpt>") != maxResumed+1 || len(r.Salvage()) != 2 {
		t.Errorf("%d points, salvage %q", strings.Count(got, "<trkpt>"), r.Salvage())
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
	for text, want := range map[string]float64{"12,5": 12.5, " -0,25\n": -0.25, "5124,84": 5124.84} {
		if got := Number(text); got != want {
			t.Errorf("%q: %v", text, got)
		}
	}
	for _, text := range []string{"", "x", "NaN", "Inf", "-inf", "1e999", "1,2,3", "1,234.5", "1.234,5", ",5", "5,", ",", "--1,5", "1, 5", "1,5e3"} {
		if got := Number(text); !math.IsNaN(got) {
			t.Errorf("%q: %v", text, got)
		}
	}
}

// TestUnread: a value that is there and cannot be read is told, one that is
// not there is not, nor one in which the document breaks off.
func TestUnread(t *testing.T) {
	r := New([]byte("<a><b>1"), recording.TCX, recording.Limits{})
	for _, text := range []string{"1", "1,5", "", " \n", "NaN", "nan"} {
		r.Number(text)
	}
	if s := r.Salvage(); s != nil {
		t.Errorf("salvage %q", s)
	}
	r.Number("--")
	if s := r.Salvage(); len(s) != 1 || s[0] != "1 value could not be read as a number" {
		t.Errorf("salvage %q", s)
	}
	r.Number("Inf")
	if s := r.Salvage(); len(s) != 1 || s[0] != "2 values could not be read as numbers" {
		t.Errorf("salvage %q", s)
	}
	render(t, r)
	if v := r.Number("1"); !math.IsNaN(v) {
		t.Errorf("a number that the document broke off in is %v", v)
	}
	if at, ok := r.Time("2025-03-01T08:00:00"); ok {
		t.Errorf("a time that the document broke off in is %v", at)
	}
	if s := r.Salvage(); len(s) != 2 {
		t.Errorf("salvage %q", s)
	}
}
