package pipeline_test

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"boutwise/pipeline"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/durable"
)

var (
	sequences = flag.Int("sequences", 10, "how many sequences of changes and runs to try")
	firstSeed = flag.Uint64("sequences-from", 1, "the seed of the first sequence")
)

// Whatever happens to a practice, in whatever order, with runs that are cut
// short in between: the output is that of a fresh run on what it now is, byte
// for byte, and nothing besides lies in it.
func TestSequencesEqualAFreshRun(t *testing.T) {
	for i := range *sequences {
		seed := *firstSeed + uint64(i)
		t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) { newLife(t, seed).live(t) })
	}
}

// life is a practice, what was done to it, and what its store may know.
type life struct {
	dir   string
	rng   *rand.Rand
	asOf  calendar.Date
	clock time.Time // the time of the next file
	story []string  // what was done, to be told

	settings map[string]string            // practice.toml, by dotted key
	clients  map[string]string            // rows of clients.csv, by id
	sheets   map[string]map[string]string // rows of the dated sheets by file, then by what may stand there once

	inbox map[string]content // by path below the inbox
	// seen are all contents that an unchanged path may be known with: what is
	// gone from the inbox for good stays known, which a fresh run cannot know.
	seen   map[string][]content
	unread bool // something changed that Reprocess does not look at
}

// content is what a file of the inbox holds.
type content struct {
	name  string   // of the whole
	parts []string // the names of its exports, one unless it is an archive; none where nothing can be read
	data  []byte
}

func newLife(t *testing.T, seed uint64) *life {
	l := &life{
		dir: filepath.Join(t.TempDir(), "practice"), rng: rand.New(rand.NewPCG(seed, 77)), asOf: day("2026-01-20"),
		clock:    time.Date(2026, 2, 1, 12, 0, 0, 0, time.UTC),
		settings: map[string]string{"write_samples": "true"},
		clients:  map[string]string{"c1": "A. Example,1960,female,no", "c4": "Never Sent,1950,male,no"},
		sheets:   map[string]map[string]string{"bands.csv": {}, "measurements.csv": {}, "prescriptions.csv": {}},
		inbox:    map[string]content{}, seen: map[string][]content{},
	}
	for range 5 {
		l.add(t)
	}
	l.writeConfig(t)
	return l
}

// live changes the practice and runs it, by turns.
func (l *life) live(t *testing.T) {
	for range 7 {
		for range 1 + l.rng.IntN(3) {
			l.change(t)
		}
		l.writeConfig(t)
		switch l.rng.IntN(8) {
		case 0, 1:
			l.work(t, "run", pipeline.Run, true)
		case 2:
			l.work(t, "reprocess", pipeline.Reprocess, true)
		case 3:
			l.work(t, "reprocess", pipeline.Reprocess, false)
		case 4:
			l.damage(t)
			l.work(t, "run by check --repair", repair, false)
		case 5:
			l.forget(t)
		default:
			l.work(t, "run", pipeline.Run, false)
		}
		if t.Failed() {
			return
		}
	}
	l.work(t, "run", pipeline.Run, false)
}

// repair is a run that check --repair makes.
func repair(ctx context.Context, o pipeline.Options) (pipeline.Summary, error) {
	_, err := pipeline.Repair(ctx, o)
	return pipeline.Summary{}, err
}

// damage changes a byte of a published file.
func (l *life) damage(t *testing.T) {
	t.Helper()
	var files []string
	for path, sum := range tree(t, l.dir) {
		if sum != "folder" {
			files = append(files, path)
		}
	}
	if len(files) == 0 {
		return
	}
	slices.Sort(files)
	path := filepath.Join(l.dir, "out", pick(l.rng, files...))
	data, err := os.ReadFile(path)
	must(t, err)
	data[l.rng.IntN(len(data))] ^= 1
	must(t, os.WriteFile(path, data, 0o600))
	l.tell("a byte of %s", path)
}

// forget has a client forgotten, who stays in the inbox and is read again by
// the next run; at times it is cut short.
func (l *life) forget(t *testing.T) {
	t.Helper()
	client := pick(l.rng, "c1", "c2", "c3")
	o := l.options(l.dir)
	uncut := func() {}
	what := "forget " + client
	if l.rng.IntN(2) == 0 {
		what, uncut = l.cut(what, &o, 60)
	}
	l.story = append(l.story, what)
	err := pipeline.Forget(context.Background(), o, client)
	uncut()
	l.unread = true
	for _, harmless := range []string{"", errCut.Error(), pipeline.ErrUnknownClient.Error(), "still stands in", "run boutwise check --repair"} {
		if err == nil || harmless != "" && strings.Contains(err.Error(), harmless) {
			return
		}
	}
	t.Fatalf("%s\n%v", l.told(), err)
}

// cut makes all changes of the disk fail from one of the first on, as if the
// process ended there, or that one alone, which is a fault that passes.
func (l *life) cut(what string, o *pipeline.Options, first int) (told string, uncut func()) {
	at, passes := int64(1+l.rng.IntN(1+l.rng.IntN(first))), l.rng.IntN(3) == 0
	o.Workers = 1 // so that a seed tells the same story every time
	var changes atomic.Int64
	durable.Before = func(durable.Op, string) error {
		if n := changes.Add(1); n == at || n > at && !passes {
			return errCut
		}
		return nil
	}
	what = fmt.Sprintf("%s, cut short at change %d", what, at)
	if passes {
		what += ", a fault that passes"
	}
	return what, func() { durable.Before = nil }
}

// work runs or reprocesses the practice, to the end or to a random change of
// the disk, and holds the output against that of a fresh run.
func (l *life) work(t *testing.T, what string, how func(context.Context, pipeline.Options) (pipeline.Summary, error), cut bool) {
	t.Helper()
	reads := strings.HasPrefix(what, "run")
	if reads {
		for path, c := range l.inbox {
			l.seen[path] = append(l.seen[path], c)
		}
	}
	o := l.options(l.dir)
	if cut {
		var uncut func()
		what, uncut = l.cut(what, &o, 300)
		defer uncut()
	}
	l.story = append(l.story, what)
	_, err := how(context.Background(), o)
	if err != nil && !reads && l.unread && strings.Contains(err.Error(), "boutwise run reads them again") {
		return // the run before was cut short after it read a trace anew
	}
	if err != nil && !errors.Is(err, errCut) {
		t.Fatalf("%s\n%v", l.told(), err)
	}
	if err != nil || !reads && l.unread {
		return
	}
	durable.Before = nil
	l.finished(t, reads)
}

var errCut = errors.New("cut short")

// finished compares the output with that of a fresh run.
func (l *life) finished(t *testing.T, read bool) {
	t.Helper()
	if read {
		l.unread, l.seen = false, map[string][]content{}
		for path, c := range l.inbox {
			l.seen[path] = []content{c}
		}
	}
	fresh := filepath.Join(t.TempDir(), "fresh")
	for _, name := range []string{"practice.toml", "clients.csv", "measurements.csv", "bands.csv", "prescriptions.csv"} {
		copyFile(t, filepath.Join(l.dir, name), filepath.Join(fresh, name))
	}
	must(t, os.CopyFS(filepath.Join(fresh, "inbox"), os.DirFS(filepath.Join(l.dir, "inbox"))))
	if _, err := pipeline.Run(context.Background(), l.options(fresh)); err != nil {
		t.Fatalf("%s\nfresh: %v", l.told(), err)
	}
	if diff := cmp.Diff(tree(t, fresh), tree(t, l.dir)); diff != "" {
		t.Errorf("%s\noutput differs (-fresh +now):\n%s", l.told(), diff)
	}
	if faults, err := pipeline.Check(context.Background(), l.dir); err != nil || read && len(faults) > 0 {
		t.Errorf("%s\ncheck: %v, %v", l.told(), faults, err)
	}
	must(t, os.RemoveAll(fresh))
}

func (l *life) told() string { return "  " + strings.Join(l.story, "\n  ") }

func (l *life) options(dir string) pipeline.Options {
	return pipeline.Options{Dir: dir, AsOf: l.asOf, Now: runTime}
}

// tree is all that lies in a practice's out: files by the checksum of their
// bytes, and folders.
func tree(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := filepath.Join(dir, "out")
	all := map[string]string{}
	if _, err := os.Stat(out); err != nil {
		return all
	}
	must(t, filepath.WalkDir(out, func(path string, d os.DirEntry, err error) error {
		if err == nil && d.IsDir() {
			rel, _ := filepath.Rel(out, path)
			all[rel] = "folder"
		}
		return err
	}))
	// The folder of samples stays where the last of them went.
	delete(all, filepath.Join("parquet", "samples"))
	maps.Copy(all, snapshot(t, out))
	return all
}

func day(s string) calendar.Date {
	d, err := calendar.ParseDate(s)
	if err != nil {
		panic(err)
	}
	return d
}
