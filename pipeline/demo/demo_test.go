package demo

import (
	"bytes"
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"boutwise/pipeline/practice"
)

// scratch holds the one demonstration that the tests share.
var scratch string

func TestMain(m *testing.M) {
	dir, err := os.MkdirTemp("", "demo")
	if err != nil {
		panic(err)
	}
	scratch = dir
	code := m.Run()
	os.RemoveAll(dir)
	os.Exit(code)
}

// writeOnce writes the shared demonstration.
var writeOnce = sync.OnceValues(func() (*Truth, error) { return Write(scratch, Options{}) })

// written returns the shared demonstration's truth; it lies in scratch.
func written(t *testing.T) *Truth {
	t.Helper()
	truth, err := writeOnce()
	if err != nil {
		t.Fatal(err)
	}
	return truth
}

// tree reads every file below dir.
func tree(t *testing.T, dir string) map[string][]byte {
	t.Helper()
	files := map[string][]byte{}
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		rel, err := filepath.Rel(dir, path)
		if err != nil {
			return err
		}
		files[filepath.ToSlash(rel)], err = os.ReadFile(path)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

func TestWriteGivesTheSameBytes(t *testing.T) {
	first := written(t)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	dir := t.TempDir()
	again, err := Write(dir, Options{})
	if err != nil {
		t.Fatal(err)
	}
	want, got := tree(t, scratch), tree(t, dir)
	if len(got) != len(want) {
		t.Errorf("%d files the second time, %d the first", len(got), len(want))
	}
	for path, data := range want {
		if !bytes.Equal(got[path], data) {
			t.Errorf("%s differs", path)
		}
	}
	if diff := cmp.Diff(first, again); diff != "" {
		t.Errorf("truth differs (-first +again):\n%s", diff)
	}
	if _, err := json.Marshal(first); err != nil {
		t.Errorf("truth as JSON: %v", err)
	}
}

func TestOptions(t *testing.T) {
	base := written(t)
	other, err := Write(t.TempDir(), Options{
		LastMonday: practice.DateOf(time.Date(2026, 6, 22, 0, 0, 0, 0, time.UTC)), Seed: 7,
	})
	if err != nil {
		t.Fatal(err)
	}
	if other.FirstMonday != "2026-04-06" || other.LastMonday != "2026-06-22" {
		t.Errorf("weeks from %s to %s, want 2026-04-06 to 2026-06-22", other.FirstMonday, other.LastMonday)
	}
	if len(other.Sessions) != len(base.Sessions) {
		t.Errorf("another seed gives %d sessions, the first %d: the stories must not change", len(other.Sessions), len(base.Sessions))
	}
	if other.Sessions[0].MeanHR == base.Sessions[0].MeanHR {
		t.Error("another seed gives the same heart rate")
	}

	tuesday := practice.DateOf(time.Date(2026, 6, 16, 0, 0, 0, 0, time.UTC))
	if _, err := Write(t.TempDir(), Options{LastMonday: tuesday}); err == nil {
		t.Error("a last week that begins on a Tuesday was taken")
	}
}

func TestWriteLeavesOtherFoldersAlone(t *testing.T) {
	dir := t.TempDir()
	mine := filepath.Join(dir, "clients.csv")
	if err := os.WriteFile(mine, []byte("client_id,name\na,B\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Write(dir, Options{}); !errors.Is(err, ErrOccupied) {
		t.Errorf("error %v, want ErrOccupied", err)
	}
	if files := tree(t, dir); len(files) != 1 {
		t.Errorf("%d files after a refusal, want the one that was there", len(files))
	}

	// The same demonstration may be written again, another one not over it.
	written(t)
	if _, err := Write(scratch, Options{}); err != nil {
		t.Errorf("writing a demonstration again: %v", err)
	}
	if _, err := Write(scratch, Options{Seed: 7}); !errors.Is(err, ErrOccupied) {
		t.Errorf("another demonstration over the first: error %v, want ErrOccupied", err)
	}
}

func TestConfigurationLoads(t *testing.T) {
	truth := written(t)
	p, err := practice.Load(scratch)
	if err != nil {
		t.Fatal(err)
	}
	if p.Settings.TimeZone != truth.TimeZone {
		t.Errorf("time zone %q, want %q", p.Settings.TimeZone, truth.TimeZone)
	}
	var names, want []string
	for _, c := range p.Clients {
		names = append(names, c.ID+" "+c.Name)
	}
	for _, c := range truth.Clients {
		want = append(want, c.ID+" "+c.Name)
	}
	if diff := cmp.Diff(want, names); diff != "" {
		t.Errorf("clients (-want +got):\n%s", diff)
	}
	if len(p.Measurements) == 0 || len(p.Bands) == 0 || len(p.Prescriptions) == 0 {
		t.Errorf("%d measurements, %d bands, %d prescriptions; want some of each",
			len(p.Measurements), len(p.Bands), len(p.Prescriptions))
	}
}

// TestFilesAreAccountedFor holds the truth's list of exports against what lies
// in the inbox.
func TestFilesAreAccountedFor(t *testing.T) {
	truth := written(t)
	told, status := map[string]bool{}, map[string]int{}
	for _, f := range truth.Files {
		if told[f.Path] {
			t.Errorf("%s is listed twice", f.Path)
		}
		told[f.Path] = true
		status[f.Status]++
		read(t, f.Path)
	}
	for path := range tree(t, filepath.Join(scratch, "inbox")) {
		if told[path] {
			continue
		}
		archive := false
		for member := range told {
			archive = archive || strings.HasPrefix(member, path+"/")
		}
		if !archive {
			t.Errorf("%s is not in the truth", path)
		}
	}
	// Every session has one export that is read, but for the one that was cut;
	// two have a second one.
	want := map[string]int{"read": len(truth.Sessions) - 1, "salvaged": 1, "duplicate": 2, "refused": 2}
	if diff := cmp.Diff(want, status); diff != "" {
		t.Errorf("exports by status (-want +got):\n%s", diff)
	}
}

func BenchmarkWrite(b *testing.B) {
	dir := b.TempDir()
	for b.Loop() {
		if _, err := Write(dir, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
