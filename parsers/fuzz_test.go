package parsers

import (
	"strings"
	"testing"
	"unicode/utf8"

	"boutwise/parsers/internal/parsertest"
)

// FuzzExpand bends containers: no panic, no more members or bytes than the
// limits allow, clean names, and whatever comes out can be parsed or is refused.
func FuzzExpand(f *testing.F) {
	real := parsertest.Read(f, parsertest.Tormoder, "testdata/fitsdk/Activity.fit")
	f.Add(real)
	f.Add(gzipped(f, real))
	f.Add(gzipped(f, gzipped(f, gpxBytes)))
	f.Add(zipped(f, file{"a/b.fit", real}, file{"../c.gpx", gpxBytes}, file{`d\e.tcx`, tcxBytes}))
	f.Add(zipped(f, file{"in.zip", zipped(f, file{"deep.fit.gz", gzipped(f, real)})}, file{"__MACOSX/x", nil}))
	f.Add(zipped(f, file{"zeros", make([]byte, 300_000)}, file{"more", make([]byte, 300_000)}))
	lim := Limits{MaxBytes: 200_000, MaxMembers: 5, MaxRatio: 10, MaxSamples: 1000, MaxMarks: 50}
	f.Fuzz(func(t *testing.T, data []byte) {
		members, decoded := 0, int64(0)
		for m := range ExpandBytes("in/box", data, lim) {
			members++
			decoded += int64(len(m.Data))
			if m.Err != nil && m.Data != nil {
				t.Fatalf("%s has data and the error %v", m.Path, m.Err)
			}
			checkPath(t, m.Path)
			if m.Err == nil {
				recs, err := Parse(m.Data, lim)
				if err := parsertest.Check(recs, err, lim); err != nil {
					t.Fatalf("%s: %v", m.Path, err)
				}
			}
		}
		// One more member may report that there are too many.
		if members > lim.MaxMembers+1 || decoded > lim.MaxBytes+lim.MaxRatio*int64(len(data)) {
			t.Fatalf("%d members, %d bytes out of %d", members, decoded, len(data))
		}
	})
}

// checkPath fails on a path that leads anywhere but below the inbox file.
func checkPath(t *testing.T, path string) {
	t.Helper()
	if !strings.HasPrefix(path, "in/box") || !utf8.ValidString(path) || strings.ContainsAny(path, "\x00\n\\") {
		t.Fatalf("path %q", path)
	}
	for _, part := range strings.Split(path, "/") {
		if part == "" || part == "." || part == ".." {
			t.Fatalf("path %q", path)
		}
	}
}
