package pipeline_test

import (
	"context"
	"crypto/sha256"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"boutwise/pipeline"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/demo"
	"boutwise/pipeline/tables"
)

// runTime lies so far behind every file's time that damage is believed.
var runTime = time.Date(2030, 1, 1, 3, 0, 0, 0, time.UTC)

func demoOptions(dir string) pipeline.Options {
	day, _ := calendar.ParseDate("2026-06-21")
	return pipeline.Options{Dir: dir, AsOf: day, Now: runTime}
}

// demoPractice writes the demonstration and runs it once for all tests.
func demoPractice(t *testing.T) (string, *demo.Truth, pipeline.Summary) {
	t.Helper()
	dir := t.TempDir()
	truth, err := demo.Write(dir, demo.Options{})
	if err != nil {
		t.Fatal(err)
	}
	sum, err := pipeline.Run(context.Background(), demoOptions(dir))
	if err != nil {
		t.Fatal(err)
	}
	return dir, truth, sum
}

// The program's figures against what the simulation knows: invented data, so
// this shows that nothing is lost on the way, not that the figures are right.
func TestDemoAgreesWithItsTruth(t *testing.T) {
	dir, truth, _ := demoPractice(t)
	t.Run("files", func(t *testing.T) { compareFiles(t, truth, readAll[tables.File](t, dir, tables.Files)) })
	t.Run("sessions", func(t *testing.T) { compareSessions(t, truth, dir) })
}

func compareFiles(t *testing.T, truth *demo.Truth, files []tables.File) {
	want, got := map[string]string{}, map[string]string{}
	for _, f := range truth.Files {
		want[f.Path] = f.Status
	}
	for _, f := range files {
		got[f.Path] = f.Status
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("status of exports (-scripted +found):\n%s", diff)
	}
}

func compareSessions(t *testing.T, truth *demo.Truth, dir string) {
	found := map[string]tables.Session{}
	for _, s := range readAll[tables.Session](t, dir, tables.Sessions) {
		found[s.ClientID+s.StartedUTC.Format(time.RFC3339)] = s
	}
	bouts := map[string][]tables.Bout{}
	for _, b := range readAll[tables.Bout](t, dir, tables.Bouts) {
		if b.Confidence == "confirmed" {
			bouts[b.ClientID+b.SessionID] = append(bouts[b.ClientID+b.SessionID], b)
		}
	}
	if len(found) != len(truth.Sessions) {
		t.Errorf("%d sessions, scripted were %d", len(found), len(truth.Sessions))
	}
	var score agreement
	for _, want := range truth.Sessions {
		got, ok := found[want.Client+want.StartUTC.Format(time.RFC3339)]
		if !ok {
			t.Errorf("%s: no session at %s", want.Client, want.StartUTC)
			continue
		}
		at := want.Client + " " + got.SessionID
		if math.Abs(got.DurationS-want.DurationS) > 2 && want.WrittenS == want.DurationS {
			t.Errorf("%s: %g s long, scripted %g s", at, got.DurationS, want.DurationS)
		}
		if want.Trouble != "" {
			continue
		}
		if hr := tables.Value(got.MeanHR); math.Abs(hr-want.MeanHR) > 1.5 {
			t.Errorf("%s: mean heart rate %.1f, scripted %.1f", at, hr, want.MeanHR)
		}
		score.session(t, at, got, bouts[got.ClientID+got.SessionID], want)
	}
	score.check(t)
}

// agreement counts how far found bouts agree with scripted ones.
type agreement struct {
	sessions, kinds        int
	scripted, matched      int
	extra                  int
	boundary, mean, pacing int // matched bouts within tolerance
}

func (a *agreement) session(t *testing.T, at string, got tables.Session, bouts []tables.Bout, want demo.SessionTruth) {
	a.sessions++
	if got.Kind == string(want.Kind) {
		a.kinds++
	} else {
		t.Logf("%s: found %s, scripted %s", at, got.Kind, want.Kind)
	}
	a.scripted += len(want.Bouts)
	a.extra += len(bouts)
	for _, w := range want.Bouts {
		for _, b := range bouts {
			overlap := math.Min(b.EndS, w.EndS) - math.Max(b.StartS, w.StartS)
			union := math.Max(b.EndS, w.EndS) - math.Min(b.StartS, w.StartS)
			if overlap/union < 0.5 {
				continue
			}
			a.matched++
			a.extra--
			if math.Abs(b.StartS-w.StartS) <= 4 && math.Abs(b.EndS-w.EndS) <= 4 {
				a.boundary++
			}
			if math.Abs(outputOf(b)/w.MeanOutput-1) <= 0.02 {
				a.mean++
			} else if want.OutputSignal == "power" {
				t.Logf("%s: bout at %g s: mean %.1f, scripted %.1f", at, w.StartS, outputOf(b), w.MeanOutput)
			}
			if b.Pacing == w.Pacing || w.EndS-w.StartS < 120 {
				a.pacing++
			}
		}
	}
}

func outputOf(b tables.Bout) float64 {
	switch b.Signal {
	case "power":
		return tables.Value(b.MeanPower)
	case "oxygen_cost":
		return tables.Value(b.MeanOxygenCost)
	}
	return tables.Value(b.MeanSpeed)
}

func (a *agreement) check(t *testing.T) {
	share := func(what string, n, of int, least float64) {
		got := float64(n) / float64(max(1, of))
		t.Logf("%s: %d of %d", what, n, of)
		if got < least {
			t.Errorf("%s: %.3f, at least %.3f", what, got, least)
		}
	}
	share("sessions of the scripted kind", a.kinds, a.sessions, 0.98)
	share("scripted bouts found", a.matched, a.scripted, 0.98)
	share("boundaries within 4 s", a.boundary, a.matched, 0.95)
	share("means within 2 %", a.mean, a.matched, 0.95)
	share("pacing as scripted", a.pacing, a.matched, 0.95)
	if a.extra > a.scripted/100 {
		t.Errorf("%d bouts that nobody scripted", a.extra)
	}
}

// snapshot gives every file below a folder its checksum.
func snapshot(t *testing.T, dir string) map[string]string {
	t.Helper()
	sums := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		rel, _ := filepath.Rel(dir, path)
		sums[rel] = fmt.Sprintf("%x", sha256.Sum256(data))
		info, _ := d.Info()
		if info.Mode().Perm()&0o077 != 0 {
			t.Errorf("%s can be read by others: %v", rel, info.Mode())
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return sums
}

func TestRunningAgainChangesNothing(t *testing.T) {
	dir, _, first := demoPractice(t)
	out := filepath.Join(dir, "out")
	want := snapshot(t, out)
	if first.Refreshed.Files != len(want) {
		t.Errorf("wrote %d files", first.Refreshed.Files)
	}

	again, err := pipeline.Run(context.Background(), demoOptions(dir))
	if err != nil {
		t.Fatal(err)
	}
	if again.Opened != 0 || again.Refreshed.Files != 0 || again.Refreshed.Measured != 0 {
		t.Errorf("second run opened %d exports, measured %d sessions, wrote %d files", again.Opened, again.Refreshed.Measured, again.Refreshed.Files)
	}
	compareSnapshots(t, "second run", want, snapshot(t, out))

	os.RemoveAll(out)
	if _, err := pipeline.Run(context.Background(), demoOptions(dir)); err != nil {
		t.Fatal(err)
	}
	compareSnapshots(t, "without out/", want, snapshot(t, out))

	os.RemoveAll(filepath.Join(out, "parquet"))
	os.RemoveAll(filepath.Join(dir, "store", "traces"))
	if _, err := pipeline.Reprocess(context.Background(), demoOptions(dir)); err != nil {
		t.Errorf("reprocess needs no trace while nothing is measured or drawn anew: %v", err)
	}
	compareSnapshots(t, "without traces", want, snapshot(t, out))

	os.RemoveAll(out)
	if _, err := pipeline.Run(context.Background(), demoOptions(dir)); err != nil {
		t.Errorf("a run reads again what pages need: %v", err)
	}
	compareSnapshots(t, "without traces and output", want, snapshot(t, out))

	os.RemoveAll(filepath.Join(dir, "store"))
	os.RemoveAll(out)
	alone := demoOptions(dir)
	alone.Workers = 1
	if _, err := pipeline.Run(context.Background(), alone); err != nil {
		t.Fatal(err)
	}
	compareSnapshots(t, "afresh on one core", want, snapshot(t, out))
}

func compareSnapshots(t *testing.T, what string, want, got map[string]string) {
	t.Helper()
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("%s: output differs (-first +now):\n%s", what, diff)
	}
}

// A band change touches the sessions from its date on and no other.
func TestBandChangeIsDated(t *testing.T) {
	dir, _, _ := demoPractice(t)
	before := readTable[tables.BandTime](t, dir, tables.BandTimes, "c101")
	path := filepath.Join(dir, "bands.csv")
	old, _ := os.ReadFile(path)
	text := "client_id,effective_from,signal,band,lower,unit\n"
	if len(old) > 0 {
		text = strings.TrimRight(string(old), "\n") + "\n"
	}
	text += "c101,2026-05-15,heart_rate,easy,0,bpm\nc101,2026-05-15,heart_rate,hard,140,bpm\n"
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	sum, err := pipeline.Reprocess(context.Background(), demoOptions(dir))
	if err != nil {
		t.Fatal(err)
	}
	if sum.Refreshed.Clients != 1 || sum.Refreshed.Measured != 0 {
		t.Errorf("made %d clients anew and measured %d sessions, want 1 and 0", sum.Refreshed.Clients, sum.Refreshed.Measured)
	}
	after := readTable[tables.BandTime](t, dir, tables.BandTimes, "c101")
	days := map[string]calendar.Date{}
	for _, s := range readTable[tables.Session](t, dir, tables.Sessions, "c101") {
		days[s.SessionID] = s.LocalDate
	}
	from, _ := calendar.ParseDate("2026-05-15")
	early := func(rows []tables.BandTime) (kept []tables.BandTime) {
		for _, r := range rows {
			if days[r.SessionID] < from {
				kept = append(kept, r)
			}
		}
		return kept
	}
	if diff := cmp.Diff(early(before), early(after)); diff != "" || len(early(after)) == 0 {
		t.Errorf("sessions before the change were touched:\n%s", diff)
	}
	for _, r := range after {
		if days[r.SessionID] >= from && r.Signal == "heart_rate" && r.Band != "easy" && r.Band != "hard" {
			t.Errorf("session of %v still has band %s", days[r.SessionID], r.Band)
		}
	}
}

// readAll reads the rows of a table of all clients.
func readAll[R any](t *testing.T, dir string, table *tables.Table) (rows []R) {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(dir, "out", "parquet", table.Name, "*.parquet"))
	if err != nil || len(paths) == 0 {
		t.Fatalf("table %s: no files (%v)", table.Name, err)
	}
	for _, path := range paths {
		rows = append(rows, readRows[R](t, path, table)...)
	}
	return rows
}

// readTable reads the rows of one client.
func readTable[R any](t *testing.T, dir string, table *tables.Table, client string) []R {
	t.Helper()
	return readRows[R](t, filepath.Join(dir, "out", "parquet", table.Name, "client-"+client+".parquet"), table)
}

func readRows[R any](t *testing.T, path string, table *tables.Table) []R {
	t.Helper()
	file, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := tables.DecodeParquet[R](table, file)
	if err != nil {
		t.Fatal(err)
	}
	return rows
}
