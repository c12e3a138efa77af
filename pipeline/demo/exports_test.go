package demo

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/tormoder/fit"

	"boutwise/metrics/synthetic"
	"boutwise/parsers/recording"
)

// read returns the bytes of an export by its path in the truth, out of its
// archive or gzip.
func read(t *testing.T, path string) []byte {
	t.Helper()
	name, member, zipped := strings.Cut(path, ".zip/")
	if zipped {
		name += ".zip"
	}
	data, err := os.ReadFile(filepath.Join(scratch, "inbox", filepath.FromSlash(name)))
	if err != nil {
		t.Fatal(err)
	}
	var in io.Reader = bytes.NewReader(data)
	switch {
	case zipped:
		archive, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if in, err = archive.Open(member); err != nil {
			t.Fatalf("%s: %v", path, err)
		}
	case strings.HasSuffix(name, ".gz"):
		if in, err = gzip.NewReader(in); err != nil {
			t.Fatalf("%s: %v", path, err)
		}
	}
	data, err = io.ReadAll(in)
	if err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	return data
}

// simulated is a session of the demonstration, simulated anew.
type simulated struct {
	client client
	truth  SessionTruth
	rec    recording.Recording
}

// simulateOnce repeats the demonstration without writing it; the key is client
// and start.
var simulateOnce = sync.OnceValues(func() (map[string]simulated, error) {
	cal, err := newCalendar(0)
	if err != nil {
		return nil, err
	}
	all := map[string]simulated{}
	for i, c := range cast() {
		rng := synthetic.NewRand(0, uint64(i))
		for _, o := range c.outings(cal, rng) {
			truth, rec := c.do(o, cal, rng)
			all[key(c.who.ID, truth.StartUTC)] = simulated{c, truth, rec}
		}
	}
	return all, nil
})

// simulate returns the shared simulation, which tests must not change.
func simulate(t *testing.T) map[string]simulated {
	t.Helper()
	all, err := simulateOnce()
	if err != nil {
		t.Fatal(err)
	}
	return all
}

func key(client string, start time.Time) string { return client + start.Format(time.RFC3339) }

func TestExportsHoldTheSimulation(t *testing.T) {
	truth := written(t)
	sims := simulate(t)
	for _, f := range truth.Files {
		if f.Status != "read" && f.Status != "duplicate" {
			continue
		}
		sim := sims[key(f.Client, f.StartUTC)]
		want := sim.rec.Samples
		if f.Format == recording.GPX {
			// GPX has no place for the other channels.
			want = recording.Samples{TimeMS: want.TimeMS, HeartRate: want.HeartRate, Altitude: want.Altitude, Position: want.Position}
		}
		got := decoders[f.Format](t, read(t, f.Path))
		if diff := difference(want, got); diff != "" {
			t.Errorf("%s: %s", f.Path, diff)
		}
	}
}

// difference is where samples differ from those wanted, in words; "" when they
// are the same to 1e-7: a step of position in FIT is 8.4e-8 degrees.
func difference(want, got recording.Samples) string {
	if !slices.Equal(want.TimeMS, got.TimeMS) {
		return fmt.Sprintf("%d samples at other instants than the %d wanted", len(got.TimeMS), len(want.TimeMS))
	}
	wanted, gotten := columns(&want), columns(&got)
	if want.Position != nil && got.Position != nil {
		wanted = append(wanted, &want.Position.Latitude, &want.Position.Longitude)
		gotten = append(gotten, &got.Position.Latitude, &got.Position.Longitude)
	} else if want.Position != got.Position {
		return "positions on one side only"
	}
	for c := range wanted {
		// A channel that was never written is missing throughout.
		w, g := orMissing(*wanted[c], len(want.TimeMS)), orMissing(*gotten[c], len(got.TimeMS))
		for i := range w {
			same := math.Abs(w[i]-g[i]) <= 1e-7 || math.IsNaN(w[i]) && math.IsNaN(g[i])
			if !same {
				return fmt.Sprintf("channel %d, sample %d: %v, want %v", c, i, g[i], w[i])
			}
		}
	}
	return ""
}

func orMissing(x []float64, n int) []float64 {
	if x == nil {
		return blank(n)
	}
	return x
}

func TestDamagedExports(t *testing.T) {
	truth := written(t)
	sims := simulate(t)
	for _, f := range truth.Files {
		data := read(t, f.Path)
		switch f.Status {
		case "salvaged":
			sim := sims[key(f.Client, f.StartUTC)]
			whole, err := sim.client.kit.encode(&sim.rec, f.Format)
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(data, whole[:len(whole)/2]) {
				t.Errorf("%s: not the first half of the whole export", f.Path)
			}
			if _, err := fit.Decode(bytes.NewReader(data)); err == nil {
				t.Errorf("%s: decodes although it is cut", f.Path)
			}
		case "refused":
			if bytes.Contains(data, []byte(".FIT")) || bytes.Contains(data, []byte("<")) {
				t.Errorf("%s: looks like an export", f.Path)
			}
		}
	}
}

func TestFITSummaries(t *testing.T) {
	truth := written(t)
	sims := simulate(t)
	for _, f := range truth.Files {
		if f.Format != recording.FIT || f.Status != "read" {
			continue
		}
		file, err := fit.Decode(bytes.NewReader(read(t, f.Path)))
		if err != nil {
			t.Fatalf("%s: %v", f.Path, err)
		}
		a, err := file.Activity()
		if err != nil {
			t.Fatalf("%s: %v", f.Path, err)
		}
		sim := sims[key(f.Client, f.StartUTC)]
		// The library puts the difference into the time's zone.
		if _, got := a.Activity.LocalTimestamp.Zone(); got != int(sim.rec.UTCOffset.Seconds()) {
			t.Errorf("%s: local time is %d s from UTC, want %v", f.Path, got, *sim.rec.UTCOffset)
		}
		s := a.Sessions[0]
		if got, want := s.GetTotalElapsedTimeScaled(), sim.truth.DurationS; got != want {
			t.Errorf("%s: elapsed %v s, want %v", f.Path, got, want)
		}
		if got, want := float64(s.AvgHeartRate), math.Round(sim.rec.Totals.MeanHR); got != want {
			t.Errorf("%s: mean heart rate %v, want %v", f.Path, got, want)
		}
		laps := 1
		if sim.client.kit.laps {
			laps += 2 * len(sim.truth.Bouts)
		}
		if len(a.Laps) != laps {
			t.Errorf("%s: %d laps, want %d", f.Path, len(a.Laps), laps)
		}
	}
}
