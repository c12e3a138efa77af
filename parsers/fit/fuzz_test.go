package fit

import (
	"testing"

	"boutwise/parsers/internal/parsertest"
	"boutwise/parsers/recording"
)

// maxSeed keeps the seeds small enough to be bent many times a second.
const maxSeed = 30_000

// FuzzFIT bends real files: no panic, consistent recordings, limits held.
func FuzzFIT(f *testing.F) {
	for _, module := range []string{parsertest.Tormoder, parsertest.Muktihari} {
		for _, path := range parsertest.Files(f, module, "testdata", ".fit") {
			if data := parsertest.Read(f, module, path); len(data) <= maxSeed {
				f.Add(data)
			}
		}
	}
	lim := recording.Limits{MaxSamples: 3000, MaxMarks: 200}
	f.Fuzz(func(t *testing.T, data []byte) {
		recs, err := Parse(data, lim)
		if err := parsertest.Check(recs, err, lim); err != nil {
			t.Fatal(err)
		}
	})
}
