package pipeline_test

import (
	"context"
	"flag"
	"iter"
	"path/filepath"
	"strconv"
	"sync/atomic"
	"testing"

	"boutwise/pipeline"
	"boutwise/pipeline/durable"
	"boutwise/pipeline/tables"
)

// A run that is killed before its first change of the disk, before its second,
// and so on until one survives, costs nothing: one undisturbed run after each
// blow gives the output that a run without any gives, counts no export twice,
// and leaves nothing of the broken one behind.
func TestKilledAtEveryWrite(t *testing.T) {
	t.Run("first night", func(t *testing.T) {
		killEverywhere(t, tinyPractice(t))
	})
	t.Run("a later night", func(t *testing.T) {
		dir := tinyPractice(t)
		if _, err := pipeline.Run(context.Background(), demoOptions(dir)); err != nil {
			t.Fatal(err)
		}
		changeTiny(t, dir)
		killEverywhere(t, dir)
	})
}

// everyWrite makes tests that break a run at a change of the disk do so at
// every change, which takes minutes.
var everyWrite = flag.Bool("every-write", false, "break runs at every change of the disk, not at every fifth")

// chosen yields the changes of the disk, from 1, at which to break a run. A
// file is replaced in four changes: by fives, each of them has its turn.
func chosen(changes int) iter.Seq[int] {
	step := 5
	if *everyWrite {
		step = 1
	}
	return func(yield func(int) bool) {
		for n := 1; n <= changes; n += step {
			if !yield(n) {
				return
			}
		}
	}
}

// countChanges runs a practice and counts its changes of the disk.
func countChanges(t *testing.T, dir string) (changes int) {
	t.Helper()
	durable.Before = func(durable.Op, string) error { changes++; return nil }
	defer func() { durable.Before = nil }()
	o := demoOptions(dir)
	o.Workers = 1
	if _, err := pipeline.Run(context.Background(), o); err != nil {
		t.Fatal(err)
	}
	if changes < 100 {
		t.Fatalf("only %d changes of the disk: not all of them are announced", changes)
	}
	return changes
}

// killEverywhere kills runs on copies of a practice.
func killEverywhere(t *testing.T, dir string) {
	undisturbed := copyPractice(t, dir)
	changes := countChanges(t, undisturbed)
	want := stateOf(t, undisturbed)

	var survived atomic.Int64
	t.Run("before change", func(t *testing.T) {
		for n := range chosen(changes) {
			t.Run(strconv.Itoa(n), func(t *testing.T) {
				t.Parallel()
				victim := copyPractice(t, dir)
				if !killAt(t, victim, n) {
					t.Fatal("the run survived")
				}
				if _, err := pipeline.Run(context.Background(), demoOptions(victim)); err != nil {
					t.Fatal(err)
				}
				compareSnapshots(t, "the next run", want, stateOf(t, victim))
				if faults, err := pipeline.Check(context.Background(), victim); err != nil || len(faults) > 0 {
					t.Errorf("check: %v, %v", faults, err)
				}
				survived.Add(1)
			})
		}
	})
	if killAt(t, copyPractice(t, dir), changes+1) {
		t.Error("a run makes more changes than were counted")
	}
	t.Logf("%d runs killed before one of %d changes; after each the next run made everything good", survived.Load(), changes)
}

// stateOf is the output and the names of everything in the store besides: a
// trace or piece too many would be a leftover.
func stateOf(t *testing.T, dir string) map[string]string {
	t.Helper()
	state := snapshot(t, filepath.Join(dir, "out"))
	for path, sum := range snapshot(t, filepath.Join(dir, "store")) {
		switch filepath.Base(path) {
		case "state.db", "lock", "lock.holder":
			sum = "" // its pages, or its owner, differ from run to run
		}
		state[filepath.Join("store", path)] = sum
	}
	seen := map[string]bool{}
	clients, _ := filepath.Glob(filepath.Join(dir, "inbox", "c*"))
	for _, client := range clients {
		for _, f := range readTable[tables.File](t, dir, tables.Files, filepath.Base(client)) {
			key := f.Path + "#" + strconv.Itoa(int(f.Leg))
			if seen[key] {
				t.Errorf("%s is counted twice", key)
			}
			seen[key] = true
		}
	}
	return state
}
