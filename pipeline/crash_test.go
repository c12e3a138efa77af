package pipeline_test

import (
	"context"
	"errors"
	"flag"
	"iter"
	"os"
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
var everyWrite = flag.Bool("every-write", false, "break runs at every change of the disk, not at every ninth")

// stride is how many changes of the disk lie between two at which a run is
// broken. A file is replaced in four: by nines, each of them has its turn.
func stride() int {
	if *everyWrite {
		return 1
	}
	return 9
}

// chosen yields the changes of the disk, from 1, at which to break a run.
func chosen(changes int) iter.Seq[int] {
	return func(yield func(int) bool) {
		for n := 1; n <= changes; n += stride() {
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

// Forgetting that is killed before any change of the disk can be done again,
// or undone by reading the client's exports anew, as if nothing had happened.
func TestKilledWhileForgetting(t *testing.T) {
	dir := tinyPractice(t)
	runOnce(t, dir)
	want := stateOf(t, dir)
	t.Setenv(victimForgetEnv, "c1")
	forgotten := copyPractice(t, dir)
	must(t, pipeline.Forget(context.Background(), demoOptions(forgotten), "c1"))
	rest := snapshot(t, filepath.Join(forgotten, "out"))
	blows := 0
	for n := 1; ; n += stride() {
		victim := copyPractice(t, dir)
		if !killAt(t, victim, n) {
			break
		}
		blows++
		again := copyPractice(t, victim)
		if err := pipeline.Forget(context.Background(), demoOptions(again), "c1"); err != nil && !errors.Is(err, pipeline.ErrUnknownClient) {
			t.Fatalf("after a blow at change %d: %v", n, err)
		}
		compareSnapshots(t, "forgotten again", rest, snapshot(t, filepath.Join(again, "out")))
		if _, err := os.Stat(filepath.Join(again, "store", "traces", "c1")); err == nil {
			t.Error("its traces are still there")
		}
		runOnce(t, victim)
		compareSnapshots(t, "read again", want, stateOf(t, victim))
		if t.Failed() {
			t.Fatalf("after a blow at change %d", n)
		}
	}
	t.Logf("%d killed", blows)
	if blows < 40/stride() {
		t.Error("too few to tell anything")
	}
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
