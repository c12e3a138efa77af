package fit

import (
	"bytes"
	"testing"

	"github.com/tormoder/fit"

	"boutwise/parsers/internal/parsertest"
	"boutwise/parsers/recording"
)

// BenchmarkParse compares reading an export with what the decoder alone needs
// for the same bytes, in one run: the two differ by this package's work.
func BenchmarkParse(b *testing.B) {
	for _, file := range []struct{ name, module, path string }{
		{"edge810", parsertest.Tormoder, "testdata/dcrainmaker/Edge810-Vector-2013-08-16-15-35-10.fit"},
		{"garmin530", parsertest.Tormoder, "testdata/bpg/garmin.fit"},
		{"trainer", parsertest.Tormoder, "testdata/python-fitparse/sample-activity-indoor-trainer.fit"},
		{"big", parsertest.Muktihari, "testdata/big_activity.fit"},
	} {
		data := parsertest.Read(b, file.module, file.path)
		b.Run("file="+file.name+"/by=decoder", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := fit.Decode(bytes.NewReader(data)); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run("file="+file.name+"/by=normaliser", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := normalise(data, extentAt(data, 0), recording.DefaultLimits()); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run("file="+file.name+"/by=parse", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Parse(data, recording.Limits{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
