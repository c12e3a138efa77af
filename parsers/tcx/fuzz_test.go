package tcx

import (
	"os"
	"path/filepath"
	"testing"

	"boutwise/parsers/internal/parsertest"
	"boutwise/parsers/recording"
)

// FuzzTCX bends documents: no panic, consistent recordings, limits held.
func FuzzTCX(f *testing.F) {
	invented, err := filepath.Glob("testdata/*.tcx")
	if err != nil || len(invented) == 0 {
		f.Fatalf("no invented documents: %v", err)
	}
	for _, path := range invented {
		data, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	lim := recording.Limits{MaxSamples: 1000, MaxMarks: 50}
	f.Fuzz(func(t *testing.T, data []byte) {
		recs, err := Parse(data, lim)
		if err := parsertest.Check(recs, err, lim); err != nil {
			t.Fatal(err)
		}
	})
}
