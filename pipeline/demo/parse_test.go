package demo

import (
	"math"
	"strings"
	"testing"

	"boutwise/parsers"
	"boutwise/parsers/recording"
)

// TestProgramReadsTheExports lets the program's own parsers read every export:
// what the truth says of it comes true.
func TestProgramReadsTheExports(t *testing.T) {
	truth := written(t)
	sims := simulate(t)
	for _, f := range truth.Files {
		recs, err := parsers.Parse(read(t, f.Path), parsers.DefaultLimits())
		if f.Status == "refused" {
			if err == nil {
				t.Errorf("%s: read, want it refused", f.Path)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", f.Path, err)
			continue
		}
		sim := sims[key(f.Client, f.StartUTC)]
		if len(recs) != 1 {
			t.Errorf("%s: %d recordings, want one", f.Path, len(recs))
			continue
		}
		compare(t, f, recs[0], sim)
	}
}

// compare holds a recording as it was read against the one that was written.
func compare(t *testing.T, f FileTruth, got *recording.Recording, sim simulated) {
	t.Helper()
	want := sim.rec
	if f.Status == "salvaged" {
		share := float64(got.Samples.Len()) / float64(want.Samples.Len())
		if len(got.Salvage) == 0 || share < 0.4 || share > 0.6 {
			t.Errorf("%s: %.0f %% of the samples, salvage %q; want about half and a reason", f.Path, 100*share, got.Salvage)
		}
		return
	}
	if len(got.Salvage) > 0 {
		t.Errorf("%s: salvaged (%s), want it sound", f.Path, strings.Join(got.Salvage, "; "))
	}
	if got.Format != f.Format || got.Sport != want.Sport {
		t.Errorf("%s: %s of %s, want %s of %s", f.Path, got.Format, got.Sport, f.Format, want.Sport)
	}
	if got.Samples.Len() != want.Samples.Len() {
		t.Errorf("%s: %d samples, want %d", f.Path, got.Samples.Len(), want.Samples.Len())
		return
	}
	for i, h := range want.Samples.HeartRate {
		if g := got.Samples.HeartRate[i]; g != h && !(math.IsNaN(g) && math.IsNaN(h)) {
			t.Errorf("%s: heart rate %v at sample %d, want %v", f.Path, g, i, h)
			return
		}
	}
	if f.Format != recording.FIT {
		return
	}
	if !strings.Contains(got.Device.Name, want.Device.Name) {
		t.Errorf("%s: device %q, want %q", f.Path, got.Device.Name, want.Device.Name)
	}
	if got.UTCOffset == nil || *got.UTCOffset != *want.UTCOffset {
		t.Errorf("%s: offset from UTC %v, want %v", f.Path, got.UTCOffset, *want.UTCOffset)
	}
	if (got.RatedExertion == nil) != (want.RatedExertion == nil) ||
		got.RatedExertion != nil && *got.RatedExertion != *want.RatedExertion {
		t.Errorf("%s: rated exertion %v, want %v", f.Path, got.RatedExertion, want.RatedExertion)
	}
	if len(got.Laps) != len(want.Laps) || len(got.Pauses) != len(want.Pauses) {
		t.Errorf("%s: %d laps and %d pauses, want %d and %d",
			f.Path, len(got.Laps), len(got.Pauses), len(want.Laps), len(want.Pauses))
	}
}
