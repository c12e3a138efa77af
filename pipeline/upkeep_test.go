package pipeline_test

import (
	"bytes"
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"boutwise/pipeline"
	"boutwise/pipeline/tables"
)

func TestForgetLeavesNothing(t *testing.T) {
	dir, _, _ := demoPractice(t)
	ctx := context.Background()
	if err := pipeline.Forget(ctx, demoOptions(dir), "nobody"); !errors.Is(err, pipeline.ErrUnknownClient) {
		t.Errorf("an unknown client: %v", err)
	}
	exports := snapshotNames(t, filepath.Join(dir, "inbox"))
	if err := pipeline.Forget(ctx, demoOptions(dir), "c103"); err != nil {
		t.Fatal(err)
	}
	for path := range snapshot(t, filepath.Join(dir, "out")) {
		data, _ := os.ReadFile(filepath.Join(dir, "out", path))
		if strings.Contains(path, "c103") || strings.Contains(string(data), "c103") {
			t.Errorf("out/%s still knows c103", path)
		}
	}
	if after := snapshotNames(t, filepath.Join(dir, "inbox")); len(after) != len(exports) {
		t.Error("exports were touched")
	}
	if faults, err := pipeline.Check(ctx, dir); err != nil {
		t.Error(err)
	} else {
		for _, f := range faults {
			if !strings.HasPrefix(f.Path, "inbox/c103/") {
				t.Errorf("after forgetting: %v", f)
			}
		}
	}
}

// A client whose id begins with that of the one who is forgotten keeps
// everything, and whoever is read again after being forgotten has the same
// output as before.
func TestForgetSparesItsNeighbours(t *testing.T) {
	dir := tinyPractice(t)
	put(t, dir,
		"inbox/c1-b/a.gpx", gpxOf(morning, 900, rounds), "inbox/c10/a.gpx", gpxOf(morning, 800, rounds),
		"inbox/[x]/a.gpx", gpxOf(morning, 700, rounds))
	runOnce(t, dir)
	want := stateOf(t, dir)
	must(t, pipeline.Forget(context.Background(), demoOptions(dir), "c1"))
	for path := range want {
		_, err := os.Stat(filepath.Join(dir, "out", path))
		inStore := strings.HasPrefix(path, "store")
		of := strings.Contains(path, "client-c1.") || strings.Contains(path, "client-c1-2") || strings.Contains(path, "/c1/") || strings.Contains(path, "/c1.")
		if !inStore && of == (err == nil) {
			t.Errorf("%s: there %v", path, err == nil)
		}
	}
	runOnce(t, dir)
	compareSnapshots(t, "read again", want, stateOf(t, dir))
}

// A client who had the bytes of another's export is told nothing of it any
// more once the other is forgotten, and forgetting succeeds.
func TestForgetWhoSharesBytes(t *testing.T) {
	dir := t.TempDir()
	ride := gpxOf(morning, 900, rounds)
	put(t, dir, "inbox/anna/a.gpx", ride, "inbox/bert/b.gpx", ride)
	runOnce(t, dir)
	told := func(client string) (n int) {
		for _, f := range readTable[tables.Finding](t, dir, tables.Findings, client) {
			if strings.Contains(f.Message, "anna") {
				n++
			}
		}
		return n
	}
	if told("bert") == 0 {
		t.Error("bert's finding does not name anna")
	}
	must(t, pipeline.Forget(context.Background(), demoOptions(dir), "anna"))
	if n := told("bert"); n > 0 {
		t.Errorf("%d findings still name anna", n)
	}
}

func snapshotNames(t *testing.T, dir string) []string {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(dir, "*", "*"))
	if err != nil {
		t.Fatal(err)
	}
	return names
}

// The samples table is written on request only, a row a second, and goes by
// the same path as the traces: every recorded value comes out of it.
func TestSamplesOnRequest(t *testing.T) {
	dir := smallPractice(t)
	ctx := context.Background()
	if _, err := pipeline.Run(ctx, demoOptions(dir)); err != nil {
		t.Fatal(err)
	}
	pattern := filepath.Join(dir, "out", "parquet", "samples", "*.parquet")
	if files, _ := filepath.Glob(pattern); len(files) > 0 {
		t.Fatalf("%d files that nobody asked for", len(files))
	}
	config := "time_zone = \"Pacific/Auckland\"\nwrite_samples = true\n"
	if err := os.WriteFile(filepath.Join(dir, "practice.toml"), []byte(config), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := pipeline.Reprocess(ctx, demoOptions(dir)); err != nil {
		t.Fatal(err)
	}
	sessions := readTable[tables.Session](t, dir, tables.Sessions, "c101")
	for _, s := range sessions {
		file, err := os.ReadFile(filepath.Join(filepath.Dir(pattern), "client-c101-"+s.SessionID+".parquet"))
		if err != nil {
			t.Fatal(err)
		}
		rows, err := tables.DecodeParquet[tables.Sample](tables.Samples, file)
		if err != nil {
			t.Fatal(err)
		}
		sum, n := 0.0, 0.0
		for _, r := range rows {
			if r.HeartRate != nil {
				sum += *r.HeartRate
				n++
			}
			if r.Latitude != nil {
				t.Fatal("position that nobody asked for")
			}
		}
		if float64(len(rows)) != s.DurationS+1 || math.Abs(sum/n-*s.MeanHR) > 0.051 {
			t.Errorf("%s: %d rows with mean heart rate %.2f, session says %g s and %.1f", s.SessionID, len(rows), sum/n, s.DurationS, *s.MeanHR)
		}
	}
	if len(sessions) == 0 {
		t.Error("no session to look at")
	}
	config = "time_zone = \"Pacific/Auckland\"\n"
	if err := os.WriteFile(filepath.Join(dir, "practice.toml"), []byte(config), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := pipeline.Reprocess(ctx, demoOptions(dir)); err != nil {
		t.Fatal(err)
	}
	if files, _ := filepath.Glob(pattern); len(files) > 0 {
		t.Errorf("%d files stay after nobody asks for them", len(files))
	}
}

// Whatever is damaged in store and output is named by check and made good by
// its repair.
func TestCheckNamesAndRepairs(t *testing.T) {
	dir, _, _ := demoPractice(t)
	ctx := context.Background()
	if faults, err := pipeline.Check(ctx, dir); err != nil || len(faults) > 0 {
		t.Fatalf("a fresh practice: %v, %v", faults, err)
	}
	want := snapshot(t, filepath.Join(dir, "out"))

	flip := func(path string) {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		data[len(data)/2] ^= 1
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	flip(filepath.Join(dir, "out", "parquet", "bouts", "client-c101.parquet"))
	os.Remove(filepath.Join(dir, "out", "csv", "sessions.csv"))
	traces, _ := filepath.Glob(filepath.Join(dir, "store", "traces", "c102", "*"))
	flip(traces[0])

	faults, err := pipeline.Check(ctx, dir)
	if err != nil {
		t.Fatal(err)
	}
	var named []string
	for _, f := range faults {
		named = append(named, f.Path)
	}
	all := strings.Join(named, " ")
	if len(faults) != 3 || !strings.Contains(all, "bouts/client-c101.parquet") || !strings.Contains(all, "csv/sessions.csv") || !strings.Contains(all, "inbox/c102/") {
		t.Errorf("check named %v", named)
	}
	if _, err := pipeline.Repair(ctx, demoOptions(dir)); err != nil {
		t.Fatal(err)
	}
	if faults, err := pipeline.Check(ctx, dir); err != nil || len(faults) > 0 {
		t.Errorf("after repair: %v, %v", faults, err)
	}
	compareSnapshots(t, "after repair", want, snapshot(t, filepath.Join(dir, "out")))
}

// A file that somebody put among the tables is named, and left alone.
func TestCheckNamesStrays(t *testing.T) {
	dir := tinyPractice(t)
	runOnce(t, dir)
	for _, stray := range []string{"out/parquet/sessions/client-c9.parquet", "out/csv/mine.csv"} {
		put(t, dir, stray, "rows")
		faults, err := pipeline.Repair(context.Background(), demoOptions(dir))
		if err != nil || len(faults) != 1 || faults[0].Path != stray {
			t.Errorf("%s: %v, %v", stray, faults, err)
		}
		must(t, os.Remove(filepath.Join(dir, filepath.FromSlash(stray))))
	}
}

// A trace that is lost while its session must be measured anew is read again
// from its export by a run, and asked for by reprocess.
func TestLostTrace(t *testing.T) {
	dir, _, _ := demoPractice(t)
	want := snapshot(t, filepath.Join(dir, "out"))
	os.RemoveAll(filepath.Join(dir, "store", "traces"))
	config, err := os.ReadFile(filepath.Join(dir, "practice.toml"))
	if err != nil {
		t.Fatal(err)
	}
	change := func(score string) {
		text := string(config) + "\n[bouts]\nmin_confidence = " + score + "\n"
		if err := os.WriteFile(filepath.Join(dir, "practice.toml"), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	change("0.51")
	if _, err := pipeline.Reprocess(context.Background(), demoOptions(dir)); err == nil || !strings.Contains(err.Error(), "boutwise run") {
		t.Errorf("reprocess without traces: %v", err)
	}
	sum, err := pipeline.Run(context.Background(), demoOptions(dir))
	if err != nil {
		t.Fatal(err)
	}
	if sum.Refreshed.Measured == 0 {
		t.Error("nothing was measured anew")
	}
	os.WriteFile(filepath.Join(dir, "practice.toml"), config, 0o600)
	if _, err := pipeline.Reprocess(context.Background(), demoOptions(dir)); err != nil {
		t.Fatal(err)
	}
	compareSnapshots(t, "after changing back", want, snapshot(t, filepath.Join(dir, "out")))
}

// Records that a failing disk changed or cut short are told in one line, never
// believed and never a panic; check --repair reads everything anew.
func TestDamagedRecords(t *testing.T) {
	dir := tinyPractice(t)
	runOnce(t, dir)
	want := stateOf(t, dir)
	whole, err := os.ReadFile(filepath.Join(dir, "store", "state.db"))
	must(t, err)
	rng := rand.New(rand.NewPCG(5, 5))
	met := 0
	for round := range 30 {
		data := bytes.Clone(whole)
		at := rng.IntN(len(data))
		switch round % 3 {
		case 0:
			data = data[:at/4]
		case 1:
			for i := at; i < min(len(data), at+512); i++ {
				data[i] = byte(rng.Uint32())
			}
		default:
			data[at] ^= 1 << rng.IntN(8)
		}
		victim := copyPractice(t, dir)
		put(t, victim, "store/state.db", data)
		if faults, err := pipeline.Repair(context.Background(), demoOptions(victim)); err != nil {
			t.Fatalf("round %d: %v", round, err)
		} else if len(faults) > 0 && faults[0].Path == "store/state.db" {
			met++
			must(t, os.Remove(filepath.Join(victim, "store", "state.db.damaged")))
		}
		compareSnapshots(t, "after repair", want, stateOf(t, victim))
	}
	t.Logf("%d of 30 damages told", met)
	if met < 5 {
		t.Error("the records were hardly damaged: the test tells nothing")
	}
	victim := copyPractice(t, dir)
	put(t, victim, "store/state.db", whole[:20_000])
	if faults, err := pipeline.Check(context.Background(), victim); err != nil || len(faults) != 1 || faults[0].Path != "store/state.db" {
		t.Errorf("check: %v, %v", faults, err)
	}
	victim = copyPractice(t, dir)
	put(t, victim, "store/state.db", whole[:5000])
	runFails(t, demoOptions(victim), "state.db", "damaged", "check --repair")
}
