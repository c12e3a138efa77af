package pipeline_test

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"boutwise/pipeline"
	"boutwise/pipeline/tables"
)

// told sums up what the files table tells of a client: path, status and
// channels given, one line an export.
func told(t *testing.T, dir, client string) map[string]string {
	t.Helper()
	lines := map[string]string{}
	for _, f := range readTable[tables.File](t, dir, tables.Files, client) {
		lines[f.Path] = strings.TrimSpace(f.Status + " " + f.Channels)
	}
	return lines
}

func runOnce(t *testing.T, dir string) pipeline.Summary {
	t.Helper()
	sum, err := pipeline.Run(context.Background(), demoOptions(dir))
	if err != nil {
		t.Fatal(err)
	}
	return sum
}

// One workout in four exports is one session: the same bytes twice, another
// format, and a second device whose clock is 40 s ahead, which goes
// nowhere but knows the heart rate, and was started ten minutes early and ran five minutes longer.
func TestOneWorkoutInSeveralExports(t *testing.T) {
	bike := tcxOf(morning, 2400, rounds)
	early := func(second int) point { return rounds(second - 600) }
	watch := gpxOf(morning.Add(-10*time.Minute+40*time.Second), 3300, early)
	dir := t.TempDir()
	put(t, dir,
		"inbox/c1/bike.tcx", bike, "inbox/c1/bike again.tcx", bike,
		"inbox/c1/bike.gpx", gpxOf(morning, 2400, rounds), "inbox/c1/watch.gpx", watch)
	runOnce(t, dir)
	sessions := readTable[tables.Session](t, dir, tables.Sessions, "c1")
	if len(sessions) != 1 {
		t.Fatalf("%d sessions", len(sessions))
	}
	s := sessions[0]
	if s.DurationS != 3299 || s.RecordedS != 3300 || !s.StartedUTC.Equal(morning.Add(-10*time.Minute)) {
		t.Errorf("from %v, %g s long, %g s recorded", s.StartedUTC, s.DurationS, s.RecordedS)
	}
	if want := 100 * 2400.0 / 3300; s.HRCoverage != 100 || s.PowerCoverage < want-0.1 || s.PowerCoverage > want+0.1 {
		t.Errorf("heart rate covers %g %%, power %g %%", s.HRCoverage, s.PowerCoverage)
	}
	want := map[string]string{
		"c1/bike again.tcx": "read power speed", "c1/bike.tcx": "duplicate",
		"c1/bike.gpx": "duplicate", "c1/watch.gpx": "read heart_rate speed distance",
	}
	if diff := cmp.Diff(want, told(t, dir, "c1")); diff != "" {
		t.Errorf("what each export gave (-want +got):\n%s", diff)
	}
	bouts := readTable[tables.Bout](t, dir, tables.Bouts, "c1")
	if len(bouts) != 6 {
		t.Errorf("%d bouts of 6", len(bouts))
	}
	for _, b := range bouts {
		if b.MeanHR == nil || *b.MeanHR < 150 || *b.MeanHR > 152 {
			t.Errorf("bout %d: mean heart rate %v: the clocks were not compared", b.Bout, tables.Value(b.MeanHR))
		}
	}
}

// A better copy that arrives a week later replaces the poorer one everywhere:
// the session keeps its name, and output and store are what they would be had
// it been there from the start.
func TestBetterCopyReplacesThePoorerOne(t *testing.T) {
	poor := gpxOf(morning, 900, rounds)
	better := map[string][]byte{
		"longer, the same device":       gpxOf(morning, 2400, rounds),
		"a better device, begun before": tcxOf(morning.Add(-time.Minute), 2400, rounds),
		"a better device, begun after":  tcxOf(morning.Add(45*time.Second), 2400, rounds),
	}
	for name, copy := range better {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			put(t, dir, "practice.toml", "write_samples = true\n", "inbox/c1/a.gpx", poor)
			runOnce(t, dir)
			before := readTable[tables.Session](t, dir, tables.Sessions, "c1")
			put(t, dir, "inbox/c1/b", copy)
			later := demoOptions(dir)
			later.Now = later.Now.AddDate(0, 0, 7)
			if _, err := pipeline.Run(context.Background(), later); err != nil {
				t.Fatal(err)
			}
			after := readTable[tables.Session](t, dir, tables.Sessions, "c1")
			if len(before) != 1 || len(after) != 1 || before[0].SessionID != after[0].SessionID {
				t.Fatalf("%d sessions became %d: %v, %v", len(before), len(after), before, after)
			}
			if after[0].DurationS < 2300 {
				t.Errorf("still %g s long", after[0].DurationS)
			}
			fresh := t.TempDir()
			copyFile(t, filepath.Join(dir, "practice.toml"), filepath.Join(fresh, "practice.toml"))
			must(t, os.CopyFS(filepath.Join(fresh, "inbox"), os.DirFS(filepath.Join(dir, "inbox"))))
			runOnce(t, fresh)
			compareSnapshots(t, "beside a fresh run", stateOf(t, fresh), stateOf(t, dir))
		})
	}
}

// A fresh export whose bytes are whole is read at once, whatever else was
// wrong with it; one that ends early may still be on its way.
func TestOnlyDamageIsWaitedFor(t *testing.T) {
	whole := gpxOf(morning, 600, rounds)
	untimed := bytes.Replace(whole, []byte("<trkpt "), []byte(`<trkpt lat="1" lon="1"></trkpt><trkpt `), 1)
	dir := t.TempDir()
	put(t, dir, "inbox/c1/untimed.gpx", untimed, "inbox/c1/cut.gpx", whole[:len(whole)/2])
	now := time.Now()
	for _, name := range []string{"untimed.gpx", "cut.gpx"} {
		must(t, os.Chtimes(filepath.Join(dir, "inbox", "c1", name), now, now))
	}
	o := demoOptions(dir)
	o.Now = now.Add(time.Second)
	_, err := pipeline.Run(context.Background(), o)
	must(t, err)
	for _, f := range readTable[tables.File](t, dir, tables.Files, "c1") {
		want := map[string]string{"c1/untimed.gpx": "salvaged", "c1/cut.gpx": "deferred"}[f.Path]
		if f.Status != want {
			t.Errorf("%s: %s (%s), want %s", f.Path, f.Status, f.Reason, want)
		}
	}
}

// A device that was stopped in the recovery after the second of six bouts and started
// again half a minute later leaves two exports of one workout: one session with
// all bouts, as the prescription counts them, and a pause.
func TestDeviceStartedAgain(t *testing.T) {
	const stopped, again = 900, 930 // s
	rest := func(second int) point { return rounds(second + again) }
	dir := t.TempDir()
	put(t, dir, "inbox/c1/one.tcx", tcxOf(morning, stopped, rounds), "inbox/c1/two.tcx", tcxOf(morning.Add(again*time.Second), 2400-again, rest))
	runOnce(t, dir)
	sessions := readTable[tables.Session](t, dir, tables.Sessions, "c1")
	if len(sessions) != 1 {
		t.Fatalf("%d sessions", len(sessions))
	}
	if s := sessions[0]; s.DurationS != 2399 || s.RecordedS != 2400-(again-stopped) || s.SilentS != 0 {
		t.Errorf("%g s long, %g s recorded, %g s silent", s.DurationS, s.RecordedS, s.SilentS)
	}
	if bouts := readTable[tables.Bout](t, dir, tables.Bouts, "c1"); len(bouts) != 6 {
		t.Errorf("%d bouts of 6", len(bouts))
	}
	want := map[string]string{"c1/one.tcx": "read heart_rate power speed", "c1/two.tcx": "read heart_rate power speed"}
	if diff := cmp.Diff(want, told(t, dir, "c1")); diff != "" {
		t.Errorf("what each export gave (-want +got):\n%s", diff)
	}
	// Whichever part comes first, a night later the other makes it whole.
	parts := []string{"one.tcx", "two.tcx"}
	for i := range parts {
		later := t.TempDir()
		for _, part := range []string{parts[i], parts[1-i]} {
			copyFile(t, filepath.Join(dir, "inbox", "c1", part), filepath.Join(later, "inbox", "c1", part))
			runOnce(t, later)
		}
		compareSnapshots(t, parts[i]+" first", stateOf(t, dir), stateOf(t, later))
	}
}
