package pipeline_test

import (
	"context"
	"errors"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"

	"boutwise/pipeline"
	"boutwise/pipeline/durable"
	"boutwise/pipeline/store"
)

// changesOf lists the changes of the disk that f makes, as "op path".
func changesOf(f func()) (list []string) {
	durable.Before = func(op durable.Op, path string) error {
		list = append(list, string(op)+" "+path)
		return nil
	}
	defer func() { durable.Before = nil }()
	f()
	return list
}

// What was drawn is on the disk before the mark goes by which the next run
// would look through it: after a run and after forgetting a client alike.
func TestPagesAreSettledBeforeTheMarkGoes(t *testing.T) {
	o := demoOptions(tinyPractice(t))
	o.Workers = 1
	pages := filepath.Join(o.Dir, "out", "review")
	for name, act := range map[string]func(){
		"run": func() { must1(t)(pipeline.Run(context.Background(), o)) },
		"forget": func() {
			put(t, o.Dir, "clients.csv", "client_id,name\nc1,B. Example\n", "inbox/c2/a.gpx", gpxOf(morning, 900, rounds))
			must1(t)(pipeline.Run(context.Background(), o))
			put(t, o.Dir, "clients.csv", "client_id,name\nc1,C. Example\n")
			must(t, pipeline.Forget(context.Background(), o, "c2"))
		},
	} {
		changes := changesOf(act)
		drawn := lastIndex(changes, string(durable.Rename)+" "+filepath.Join(pages, "sessions"))
		settled := lastIndex(changes, string(durable.Sync)+" "+pages)
		commit := lastIndex(changes, string(durable.Commit))
		if drawn < 0 || settled < drawn || commit < settled {
			t.Errorf("%s: the last page is change %d, settled in %d, the last commit %d", name, drawn, settled, commit)
		}
	}
}

func lastIndex(list []string, prefix string) int {
	for i, s := range slices.Backward(list) {
		if strings.HasPrefix(s, prefix) {
			return i
		}
	}
	return -1
}

// A disk that fails when pages are brought onto it may leave any of them
// empty, whatever the system says of them until then.
func TestPagesOfAFailingDiskAreDrawnAnew(t *testing.T) {
	dir := tinyPractice(t)
	durable.Before = func(op durable.Op, path string) error {
		if op == durable.Sync && path == filepath.Join(dir, "out", "review") {
			return syscall.EIO
		}
		return nil
	}
	_, err := pipeline.Run(context.Background(), demoOptions(dir))
	durable.Before = nil
	if err == nil || !strings.Contains(err.Error(), "not brought onto the disk") {
		t.Fatalf("the run ended with %v", err)
	}
	sum := runOnce(t, dir)
	if pages, _ := filepath.Glob(filepath.Join(dir, "out", "review", "sessions", "*", "*.html")); sum.Refreshed.Files < len(pages) {
		t.Errorf("%d files written, %d pages are there", sum.Refreshed.Files, len(pages))
	}
	fresh := tinyPractice(t)
	runOnce(t, fresh)
	compareSnapshots(t, "beside a fresh run", stateOf(t, fresh), stateOf(t, dir))
}

// A session of which the database lost half, or whose record another version
// of the program wrote, is measured anew and keeps nobody from bands of power.
func TestLostRecords(t *testing.T) {
	powered := func() string {
		dir := tinyPractice(t)
		put(t, dir, "inbox/c1/power.tcx", tcxOf(morning.AddDate(0, 0, 3), 1500, rounds))
		return dir
	}
	const bands = "client_id,effective_from,signal,band,lower,unit\n*,2020-01-01,power,easy,0,w\n*,2020-01-01,power,hard,150,w\n"
	fresh := powered()
	put(t, fresh, "bands.csv", bands)
	runOnce(t, fresh)
	for name, lose := range map[string]func(*store.Tx) error{
		"half": func(tx *store.Tx) error { return store.DeletePrefix(tx, store.Counted, "c1/") },
		"of another version": func(tx *store.Tx) (err error) {
			return errors.Join(store.EachKey(tx, store.Measured, "c1/", func(key string) {
				err = errors.Join(err, store.Put(tx, store.Measured, key, "another"))
			}), err)
		},
	} {
		dir := powered()
		runOnce(t, dir)
		st, err := store.Open(filepath.Join(dir, "store"))
		must(t, err)
		must(t, st.Update(lose))
		must(t, st.Close())
		faults, err := pipeline.Check(context.Background(), dir)
		if err != nil || name == "half" && (len(faults) == 0 || !strings.Contains(faults[0].String(), "missing")) {
			t.Errorf("check: %v, %v", faults, err)
		}
		put(t, dir, "bands.csv", bands)
		runOnce(t, dir)
		compareSnapshots(t, name+": beside a fresh run", stateOf(t, fresh), stateOf(t, dir))
	}
}

// must1 is must for a call that gives something besides its error.
func must1(t *testing.T) func(pipeline.Summary, error) {
	t.Helper()
	return func(_ pipeline.Summary, err error) { must(t, err) }
}
