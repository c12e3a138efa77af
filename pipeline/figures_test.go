package pipeline_test

import (
	"bytes"
	"context"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"boutwise/pipeline"
	"boutwise/pipeline/durable"
)

// twoIn is one TCX file with two recordings, a day apart.
func twoIn(start time.Time, n int) []byte {
	second := tcxOf(start.AddDate(0, 0, 1), n, rounds)
	first, _, _ := bytes.Cut(tcxOf(start, n, rounds), []byte("</Activities>"))
	return slices.Concat(first, second[bytes.Index(second, []byte("<Activity ")):])
}

// Exports are counted, not what they hold: two recordings in one file are one.
func TestExportsAreCountedOnce(t *testing.T) {
	dir := t.TempDir()
	two := twoIn(morning, 700)
	put(t, dir, "inbox/c1/a.tcx", two, "inbox/c1/b.tcx", two, "inbox/c1/notes.txt", "slept badly", "inbox/c2/c.gpx", gpxOf(morning, 700, rounds))
	sum := run(t, pipeline.Run, dir)
	want := map[string]int{"read": 2, "duplicate": 1, "refused": 1}
	if diff := cmp.Diff(want, sum.Exports); diff != "" {
		t.Errorf("exports by status (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff(map[string]int{"c1": 2, "c2": 1}, sum.Refreshed.Came); diff != "" || sum.Refreshed.Sessions != 3 {
		t.Errorf("%d sessions; came (-want +got):\n%s", sum.Refreshed.Sessions, diff)
	}
	// The counts stand also where nothing is looked at.
	if again := run(t, pipeline.Run, dir); !maps.Equal(again.Exports, want) || len(again.Refreshed.Came) > 0 || again.Refreshed.Files > 0 {
		t.Errorf("the second run counted %+v", again)
	}
}

// Files counts the files of out/ that a change of bands rewrites, and those
// alone; its time in bands is the least that must change.
func TestFilesAreCounted(t *testing.T) {
	dir := tinyPractice(t)
	out := filepath.Join(dir, "out")
	if sum := run(t, pipeline.Run, dir); sum.Refreshed.Files != len(snapshot(t, out)) {
		t.Errorf("counted %d files of %d", sum.Refreshed.Files, len(snapshot(t, out)))
	}
	before := snapshot(t, out)
	put(t, dir, "bands.csv", "client_id,effective_from,signal,band,lower,unit\nc2,2026-01-01,heart_rate,easy,0,bpm\nc2,2026-01-01,heart_rate,hard,130,bpm\n")
	sum := run(t, pipeline.Reprocess, dir)
	changed := changedKeys(before, snapshot(t, out))
	if sum.Refreshed.Files != len(changed) || !slices.Contains(changed, filepath.Join("parquet", "band_time", "client-c2.parquet")) {
		t.Errorf("counted %d files where these changed: %v", sum.Refreshed.Files, changed)
	}
}

// A run that has to read lost traces again counts what it did before that, too.
func TestCountedAcrossLostTraces(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "inbox/c1/a.gpx", gpxOf(morning, 700, rounds), "inbox/c2/b.gpx", gpxOf(morning, 700, rounds))
	run(t, pipeline.Run, dir)
	before := snapshot(t, filepath.Join(dir, "out"))
	must(t, os.RemoveAll(filepath.Join(dir, "store", "traces", "c2")))
	must(t, os.RemoveAll(filepath.Join(dir, "store", "csv")))
	must(t, os.RemoveAll(filepath.Join(dir, "out", "review", "sessions", "c2")))
	put(t, dir, "inbox/c1/c.gpx", gpxOf(morning.AddDate(0, 0, 1), 700, rounds))
	sum := run(t, pipeline.Run, dir)
	if diff := cmp.Diff(map[string]int{"c1": 1}, sum.Refreshed.Came); diff != "" || sum.Refreshed.Sessions != 1 {
		t.Errorf("%d sessions; came (-want +got):\n%s", sum.Refreshed.Sessions, diff)
	}
	after := snapshot(t, filepath.Join(dir, "out"))
	if changed := changedKeys(before, after); sum.Refreshed.Files < len(changed) {
		t.Errorf("counted %d files where these changed: %v", sum.Refreshed.Files, changed)
	}
}

// A file that changes while it is read is left for the next run, and so is the
// page that it shares a name with: what another export of the workout gave
// stays.
func TestExportThatGrowsWhileRead(t *testing.T) {
	dir := t.TempDir()
	put(t, dir, "inbox/c1/whole.tcx", tcxOf(morning, 900, rounds))
	run(t, pipeline.Run, dir)
	page := func() string {
		pages, err := filepath.Glob(filepath.Join(dir, "out", "review", "sessions", "c1", "*.html"))
		if err != nil || len(pages) != 1 {
			t.Fatalf("pages: %v, %v", pages, err)
		}
		data, err := os.ReadFile(pages[0])
		must(t, err)
		return string(data)
	}
	want := page()
	growing := filepath.Join(dir, "inbox", "c1", "growing.gpx")
	put(t, dir, "inbox/c1/growing.gpx", gpxOf(morning, 700, rounds))
	grow := sync.OnceFunc(func() {
		file, err := os.OpenFile(growing, os.O_APPEND|os.O_WRONLY, 0)
		must(t, err)
		_, err = file.WriteString("\n")
		must(t, err)
		must(t, file.Close())
	})
	durable.Before = func(_ durable.Op, path string) error {
		if strings.HasSuffix(path, ".html") {
			grow() // what is drawn first is what was read first
		}
		return nil
	}
	defer func() { durable.Before = nil }()
	sum := run(t, pipeline.Run, dir)
	durable.Before = nil
	if sum.Exports["deferred"] != 1 {
		t.Fatalf("nothing was deferred: %v", sum.Exports)
	}
	if got := page(); got != want {
		t.Error("the page shows what was read of the growing file")
	}
}

// Samples that were damaged are written anew.
func TestDamagedSamplesAreRepaired(t *testing.T) {
	dir := tinyPractice(t)
	run(t, pipeline.Run, dir)
	want := snapshot(t, filepath.Join(dir, "out"))
	samples, err := filepath.Glob(filepath.Join(dir, "out", "parquet", "samples", "client-c1-*.parquet"))
	if err != nil || len(samples) == 0 {
		t.Fatalf("samples: %v, %v", samples, err)
	}
	must(t, os.Remove(samples[0]))
	joined := filepath.Join(dir, "out", "csv", "sessions.csv")
	data, err := os.ReadFile(joined)
	must(t, err)
	data[len(data)/2] ^= 1
	must(t, os.WriteFile(joined, data, 0o600))
	faults, err := pipeline.Repair(context.Background(), demoOptions(dir))
	if err != nil || len(faults) != 2 {
		t.Errorf("repair found %v, %v", faults, err)
	}
	compareSnapshots(t, "repaired", want, snapshot(t, filepath.Join(dir, "out")))
}

// A run that was cut short in the middle of a change, and the change undone:
// no fingerprint tells, and yet nothing of it is left.
func TestChangeUndoneAfterACut(t *testing.T) {
	dir := tinyPractice(t)
	run(t, pipeline.Run, dir)
	want := stateOf(t, dir)
	plain, err := os.ReadFile(filepath.Join(dir, "practice.toml"))
	must(t, err)
	cuts := 0
	for n := 1; ; n += stride() {
		put(t, dir, "practice.toml", string(plain)+"[pacing]\nchange_pct = 1.5\n", "clients.csv", "client_id\nc1\nc9\n")
		changes := 0
		durable.Before = func(durable.Op, string) error {
			if changes++; changes >= n {
				return errCut
			}
			return nil
		}
		o := demoOptions(dir)
		o.Workers = 1
		_, err := pipeline.Run(context.Background(), o)
		durable.Before = nil
		put(t, dir, "practice.toml", plain, "clients.csv", "client_id,name,birth_year,sex,hr_limiting_medication\nc1,A. Example,1960,female,no\n")
		runMakesGood(t, dir, want)
		if t.Failed() {
			t.Fatalf("cut short at change %d", n)
		}
		if err == nil {
			break
		}
		cuts++
	}
	if cuts < 20/stride() {
		t.Errorf("cut short %d times only", cuts)
	}
}
