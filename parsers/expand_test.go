package parsers

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"boutwise/parsers/recording"
)

// A small export of each kind, by its bytes; Expand does not parse.
var (
	gpxBytes = []byte(`<gpx><trk><trkseg><trkpt lat="1" lon="1"><time>2025-03-01T08:00:00Z</time></trkpt></trkseg></trk></gpx>`)
	tcxBytes = []byte(`<TrainingCenterDatabase/>`)
	fitBytes = []byte("\x0e\x20\x64\x00\x00\x00\x00\x00.FIT\x00\x00\x00\x00")
)

func gzipped(t testing.TB, data []byte) []byte {
	t.Helper()
	var buf bytes.Buffer
	z := gzip.NewWriter(&buf)
	if _, err := z.Write(data); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return buf.Bytes()
}

// file is a member of a zip to be made.
type file struct {
	name string
	data []byte
}

func zipped(t testing.TB, files ...file) []byte {
	t.Helper()
	var buf bytes.Buffer
	z := zip.NewWriter(&buf)
	for _, f := range files {
		w, err := z.Create(f.name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write(f.data); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return buf.Bytes()
}

// got sums up what Expand yields: "path", "path !" when flagged, or
// "path: reason".
func got(t testing.TB, path string, data []byte, lim Limits) (lines []string) {
	t.Helper()
	for m := range ExpandBytes(path, data, lim) {
		line := m.Path
		if m.Flagged {
			line += " !"
		}
		if m.Err != nil {
			var reason *recording.ParseError
			if !errors.As(m.Err, &reason) {
				t.Fatalf("%s: %v is no ParseError", m.Path, m.Err)
			}
			line += ": " + reason.Reason.Error()
		} else if m.SHA256 != sha256.Sum256(m.Data) {
			t.Errorf("%s: checksum is not the data's", m.Path)
		}
		lines = append(lines, line)
	}
	return lines
}

func TestExpand(t *testing.T) {
	damagedGzip := gzipped(t, bytes.Repeat(gpxBytes, 50))
	damagedGzip[len(damagedGzip)-5] ^= 1 // of the checksum
	nested := zipped(t, file{"in/ner.zip", zipped(t, file{"deep.fit.gz", gzipped(t, fitBytes)})}, file{"b.gpx", gpxBytes})
	encrypted := zipped(t, file{"a.fit", fitBytes}, file{"b.gpx", gpxBytes})
	// Bit 0 of the flags: at 8 in a directory entry, whose signature is PK 1 2.
	encrypted[bytes.Index(encrypted, []byte("PK\x01\x02"))+8] |= 1
	for _, c := range []struct {
		name string
		path string
		data []byte
		want []string
	}{
		{"plain", "c1/a.fit", fitBytes, []string{"c1/a.fit"}},
		{"not an export", "c1/notes.txt", []byte("hello"), []string{"c1/notes.txt"}},
		{"empty", "c1/empty.fit", nil, []string{"c1/empty.fit"}},
		{"gzip", "c1/a.fit.gz", gzipped(t, fitBytes), []string{"c1/a.fit.gz"}},
		{"gzip twice", "c1/a.gz", gzipped(t, gzipped(t, fitBytes)), []string{"c1/a.gz"}},
		{"gzip in several parts", "c1/a.gz", append(gzipped(t, fitBytes), gzipped(t, fitBytes)...), []string{"c1/a.gz"}},
		{"gzip by its bytes", "c1/a.fit", gzipped(t, fitBytes), []string{"c1/a.fit"}},
		{"gzip with a wrong checksum", "a.gz", damagedGzip, []string{"a.gz: too damaged to read"}},
		{"gzip cut", "a.gz", damagedGzip[:60], []string{"a.gz: too damaged to read"}},
		{"zip", "c1/all.zip", zipped(t, file{"x/", nil}, file{"x/y/a.fit", fitBytes}, file{"b.tcx", tcxBytes}),
			[]string{"c1/all.zip/x/y/a.fit", "c1/all.zip/b.tcx"}},
		{"zip without members", "e.zip", zipped(t), []string{"e.zip: holds no activity"}},
		{"zip with nothing but folders", "e.zip", zipped(t, file{"a/", nil}, file{"a/Thumbs.db", nil}), []string{"e.zip: holds no activity"}},
		{"zip in zip", "n.zip", nested, []string{"n.zip/in/ner.zip/deep.fit.gz", "n.zip/b.gpx"}},
		{"zip in zip in gzip in gzip", "n.gz", gzipped(t, gzipped(t, nested)),
			[]string{"n.gz/in/ner.zip: larger than the limit", "n.gz/b.gpx"}},
		{"zip cut", "n.zip", nested[:len(nested)-10], []string{"n.zip: too damaged to read"}},
		{"encrypted member", "z.zip", encrypted, []string{"z.zip/a.fit: encrypted", "z.zip/b.gpx"}},
		{"left by operating systems", "z.zip", zipped(t, file{"__MACOSX/._a.fit", fitBytes}, file{"a/.DS_Store", nil},
			file{"a/Thumbs.db", nil}, file{"a/._b.fit", nil}, file{"a/b.fit", fitBytes}), []string{"z.zip/a/b.fit"}},
		{"names that are one", "z.zip", zipped(t, file{"a.fit", fitBytes}, file{"../a.fit", fitBytes}, file{"a.fit", gpxBytes}),
			[]string{"z.zip/a.fit", "z.zip/a.fit~2 !", "z.zip/a.fit~3 !"}},
		{"names that lead out", "z.zip", zipped(t, file{"../../etc/a.fit", fitBytes}, file{"/abs/b.fit", fitBytes},
			file{`..\c.fit`, fitBytes}, file{`C:\d\e.fit`, fitBytes}, file{`dir\f.fit`, fitBytes}, file{"..", fitBytes}, file{"g\nh\x00.fit", fitBytes}),
			[]string{"z.zip/etc/a.fit !", "z.zip/abs/b.fit !", "z.zip/c.fit !", "z.zip/d/e.fit !", "z.zip/dir/f.fit", "z.zip/unnamed !", "z.zip/g_h_.fit !"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if diff := cmp.Diff(c.want, got(t, c.path, c.data, Limits{})); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
}

// TestExpandStops: whoever asks for one member is given no more.
func TestExpandStops(t *testing.T) {
	data := zipped(t, file{"a.fit", fitBytes}, file{"b.fit", fitBytes})
	n := 0
	for range ExpandBytes("z.zip", data, Limits{}) {
		n++
		break
	}
	if n != 1 {
		t.Errorf("%d members", n)
	}
}

func TestExpandLimits(t *testing.T) {
	const mib = 1 << 20
	zeros := make([]byte, 8*mib)
	five := zipped(t, file{"1", fitBytes}, file{"2", fitBytes}, file{"3", fitBytes}, file{"4", fitBytes}, file{"5", fitBytes})
	lied := zipped(t, file{"a.fit", zeros})
	// The directory entry claims 10 bytes decoded; the field is at 24.
	binary.LittleEndian.PutUint32(lied[bytes.Index(lied, []byte("PK\x01\x02"))+24:], 10)
	for _, c := range []struct {
		name string
		data []byte
		lim  Limits
		want []string
	}{
		{"plain file too large", zeros, Limits{MaxBytes: mib}, []string{"f: larger than the limit"}},
		{"gzip bomb", gzipped(t, zeros), Limits{MaxBytes: mib}, []string{"f: larger than the limit"}},
		{"zip bomb spares its neighbours", zipped(t, file{"a", zeros}, file{"b", fitBytes}), Limits{MaxBytes: mib},
			[]string{"f/a: larger than the limit", "f/b"}},
		// 8 MiB shrink about a thousandfold; the first is within the allowance
		// of one MaxBytes, after which 10 times the file's size is little.
		{"a bomb of many members", zipped(t, file{"a", zeros}, file{"b", zeros}, file{"c", zeros}), Limits{MaxBytes: 8 * mib, MaxRatio: 10},
			[]string{"f/a", "f/b: larger than the limit", "f/c: larger than the limit"}},
		{"a lie about the size", lied, Limits{}, []string{"f/a.fit: too damaged to read"}},
		{"many members", five, Limits{MaxMembers: 3}, []string{"f/1", "f/2", "f/3", "f: larger than the limit"}},
		{"nesting", gzipped(t, gzipped(t, fitBytes)), Limits{MaxNesting: 1}, []string{"f: larger than the limit"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			if diff := cmp.Diff(c.want, got(t, "f", c.data, c.lim)); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
	// A directory out of proportion is not even listed.
	var many []file
	for i := range 2000 {
		many = append(many, file{name: fmt.Sprintf("%s%d", strings.Repeat("long/", 40), i)})
	}
	if lines := got(t, "f", zipped(t, many...), Limits{MaxMembers: 10}); len(lines) != 1 || lines[0] != "f: larger than the limit" {
		t.Errorf("got %d lines, first %q", len(lines), lines[0])
	}
}

func TestSniff(t *testing.T) {
	utf16 := []byte{0xFF, 0xFE}
	for _, c := range "<?xml version='1.0'?><gpx>" {
		utf16 = append(utf16, byte(c), 0)
	}
	for _, c := range []struct {
		name string
		head []byte
		want Kind
	}{
		{"fit", fitBytes, FIT},
		{"fit without header checksum", append([]byte{12}, fitBytes[1:]...), FIT},
		{"fit too short", fitBytes[:11], Unknown},
		{"gpx", gpxBytes, GPX},
		{"gpx with everything before", []byte("\ufeff\r\n <?xml version=\"1.0\"?>\n<!-- a <tcx> -->\n<!DOCTYPE gpx>\n<gpx version=\"1.1\""), Unknown},
		{"gpx with everything before, whole tag", []byte("\ufeff\r\n <?xml version=\"1.0\"?>\n<!-- a <tcx> -->\n<!DOCTYPE gpx>\n<gpx version=\"1.1\">"), GPX},
		{"gpx with a prefix", []byte("<g:gpx>"), GPX},
		{"gpx in UTF-16", utf16, GPX},
		{"tcx", tcxBytes, TCX},
		{"gzip", gzipped(t, nil), Gzip},
		{"zip", zipped(t, file{"a", nil}), Zip},
		{"empty zip", zipped(t), Zip},
		{"html", []byte("<html><gpx>"), Unknown},
		{"text", []byte("gpx"), Unknown},
		{"text before", []byte("x<gpx>"), Unknown},
		{"nothing", nil, Unknown},
		{"zeros", make([]byte, 100), Unknown},
	} {
		if got := Sniff(c.head); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// TestParseRefuses: every refusal says what the bytes look like.
func TestParseRefuses(t *testing.T) {
	for _, c := range []struct {
		name   string
		data   []byte
		lim    Limits
		reason error
		says   string
	}{
		{"empty", nil, Limits{}, recording.ErrUnknownFormat, "empty file"},
		{"zeros", make([]byte, 5000), Limits{}, recording.ErrUnknownFormat, "zero bytes"},
		{"text", []byte("hello"), Limits{}, recording.ErrUnknownFormat, `begins with "hello"`},
		{"container", gzipped(t, gpxBytes), Limits{}, recording.ErrUnknownFormat, "gzip container"},
		{"too large", gpxBytes, Limits{MaxBytes: 10}, recording.ErrTooLarge, ""},
	} {
		_, err := Parse(c.data, c.lim)
		if !errors.Is(err, c.reason) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want %v saying %q", c.name, err, c.reason, c.says)
		}
	}
}
