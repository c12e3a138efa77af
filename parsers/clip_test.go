package parsers

import (
	"bytes"
	"strings"
	"testing"
	"unicode/utf8"
)

// What a reason says is one line that can be read, whatever the export holds.
func TestReasonsStayShort(t *testing.T) {
	long := strings.Repeat("é", 500)
	if got := clip(long); len(got) > mostNote || !utf8.ValidString(got) || !strings.HasSuffix(got, "…") {
		t.Errorf("%d bytes: %q", len(got), got)
	}
	if got := clip("a\nb\x00c\xff"); got != "a_b_c_" {
		t.Errorf("%q", got)
	}
	for _, c := range []struct {
		notes []string
		want  string
	}{
		{nil, ""},
		{[]string{"a", "b"}, "a; b"},
		{[]string{strings.Repeat("a", 110), strings.Repeat("b", 110)}, strings.Repeat("a", 110) + "; one more repair"},
		{[]string{strings.Repeat("a", 90), strings.Repeat("b", 90), strings.Repeat("c", 90), "d"}, strings.Repeat("a", 90) + "; " + strings.Repeat("b", 90) + "; 2 more repairs"},
	} {
		if got := strings.Join(clipNotes(c.notes), "; "); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
	// A tag of half a megabyte that closes nothing.
	recs, err := Parse([]byte("<gpx><trk></"+strings.Repeat("x", 500_000)+"></trk></gpx>"), Limits{})
	if err == nil || len(err.Error()) > 300 {
		t.Errorf("%d recordings, %.400v", len(recs), err)
	}
	cut := gpxBytes[:len(gpxBytes)-len("</trk></gpx>")]
	recs, err = Parse(append(bytes.Clone(cut), "</"+long+">"...), Limits{})
	if err != nil || len(recs[0].Salvage) == 0 || len(strings.Join(recs[0].Salvage, "; ")) > mostNotes {
		t.Errorf("%v, %v", recs, err)
	}
}
