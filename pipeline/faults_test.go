package pipeline_test

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"boutwise/pipeline"
	"boutwise/pipeline/durable"
	"boutwise/pipeline/store"
)

// runFails runs a practice that cannot succeed and checks that the error is
// one line which holds all of the given words.
func runFails(t *testing.T, o pipeline.Options, words ...string) error {
	t.Helper()
	_, err := pipeline.Run(context.Background(), o)
	if err == nil {
		t.Fatal("the run ended as if nothing had happened")
	}
	text := err.Error()
	for _, word := range words {
		if !strings.Contains(text, word) {
			t.Errorf("%q does not say %q", text, word)
		}
	}
	if strings.Contains(text, "\n") || strings.Contains(text, durable.TempPrefix) {
		t.Errorf("not one clear line: %q", text)
	}
	return err
}

// runMakesGood runs a practice and compares it with an undisturbed one.
func runMakesGood(t *testing.T, dir string, want map[string]string) {
	t.Helper()
	if _, err := pipeline.Run(context.Background(), demoOptions(dir)); err != nil {
		t.Fatal(err)
	}
	compareSnapshots(t, "the next run", want, stateOf(t, dir))
	if faults, err := pipeline.Check(context.Background(), dir); err != nil || len(faults) > 0 {
		t.Errorf("check: %v, %v", faults, err)
	}
}

// A disk that is full from some change on ends the run with a line that says
// so, leaves no half file, and costs nothing once there is room.
func TestFullDiskAtEveryWrite(t *testing.T) {
	dir := tinyPractice(t)
	undisturbed := copyPractice(t, dir)
	changes := countChanges(t, undisturbed)
	want := stateOf(t, undisturbed)
	met := 0
	for n := range chosen(changes) {
		t.Run(strconv.Itoa(n), func(t *testing.T) {
			victim := copyPractice(t, dir)
			var change atomic.Int64
			durable.Before = func(op durable.Op, path string) error {
				// What frees room does not need any.
				if change.Add(1) < int64(n) || op == durable.Remove {
					return nil
				}
				return &fs.PathError{Op: string(op), Path: path, Err: syscall.ENOSPC}
			}
			runFails(t, demoOptions(victim), "no space left on device", "make room and run again")
			durable.Before = nil
			runMakesGood(t, victim, want)
			met++
		})
	}
	durable.Before = nil
	t.Logf("the disk was full from one of %d changes on, %d times", changes, met)
}

// An output folder that cannot be written to is named, with what to do.
func TestReadOnlyOutput(t *testing.T) {
	dir := tinyPractice(t)
	undisturbed := copyPractice(t, dir)
	countChanges(t, undisturbed)
	want := stateOf(t, undisturbed)
	out := filepath.Join(dir, "out")
	durable.Before = func(op durable.Op, path string) error {
		if strings.HasPrefix(path, out) {
			return &fs.PathError{Op: string(op), Path: path, Err: syscall.EROFS}
		}
		return nil
	}
	runFails(t, demoOptions(dir), out, "read-only file system", "let the user who runs the program write there")
	durable.Before = nil
	runMakesGood(t, dir, want)
}

// A machine's clock that runs ahead, back, or stands at the beginning of time
// between two runs moves the day of the review and nothing else.
func TestClockThatJumps(t *testing.T) {
	dir := tinyPractice(t)
	undisturbed := copyPractice(t, dir)
	countChanges(t, undisturbed)
	want := stateOf(t, undisturbed)
	for _, now := range []time.Time{
		runTime, time.Date(2106, 2, 7, 6, 28, 16, 0, time.UTC), time.Unix(0, 0), time.Now(), morning.Add(time.Hour),
	} {
		if _, err := pipeline.Run(context.Background(), pipeline.Options{Dir: dir, Now: now}); err != nil {
			t.Fatalf("at %v: %v", now, err)
		}
	}
	runMakesGood(t, dir, want)
}

// Another time zone in practice.toml gives the output that a practice would
// have that never had any other.
func TestTimeZoneChange(t *testing.T) {
	dir := tinyPractice(t)
	other := copyPractice(t, dir)
	before := copyPractice(t, dir)
	put(t, other, "practice.toml", "time_zone = \"Pacific/Honolulu\"\nwrite_samples = true\n")
	countChanges(t, other)
	countChanges(t, before)
	if here, there := stateOf(t, before), stateOf(t, other); here["csv/sessions.csv"] == there["csv/sessions.csv"] {
		t.Error("the zone decides no session's day: the test tells nothing")
	}
	if _, err := pipeline.Run(context.Background(), demoOptions(dir)); err != nil {
		t.Fatal(err)
	}
	copyFile(t, filepath.Join(other, "practice.toml"), filepath.Join(dir, "practice.toml"))
	if _, err := pipeline.Reprocess(context.Background(), demoOptions(dir)); err != nil {
		t.Fatal(err)
	}
	compareSnapshots(t, "after the change", stateOf(t, other), stateOf(t, dir))
	copyFile(t, filepath.Join(before, "practice.toml"), filepath.Join(dir, "practice.toml"))
	runMakesGood(t, dir, stateOf(t, before))
}

// The zone of the machine decides nothing.
func TestZoneOfTheMachine(t *testing.T) {
	dir := tinyPractice(t)
	undisturbed := copyPractice(t, dir)
	countChanges(t, undisturbed)
	want := stateOf(t, undisturbed)
	for _, zone := range []string{"Pacific/Kiritimati", "America/St_Johns"} {
		elsewhere := copyPractice(t, dir)
		t.Setenv("TZ", zone)
		if wasKilled(t, elsewhere, "", alone) {
			t.Fatal("the run was killed")
		}
		compareSnapshots(t, zone, want, stateOf(t, elsewhere))
	}
}

// Of two runs at once the second says who holds the practice and leaves
// everything to the first.
func TestTwoRunsAtOnce(t *testing.T) {
	dir := tinyPractice(t)
	undisturbed := copyPractice(t, dir)
	countChanges(t, undisturbed)
	first, err := store.Open(filepath.Join(dir, "store"))
	if err != nil {
		t.Fatal(err)
	}
	err = runFails(t, demoOptions(dir), "process "+strconv.Itoa(os.Getpid()), "since", "wait until it ends")
	if !errors.Is(err, store.ErrBusy) {
		t.Error(err)
	}
	if _, err := os.Stat(filepath.Join(dir, "out")); err == nil {
		t.Error("the second run wrote something")
	}
	if err := first.Close(); err != nil {
		t.Fatal(err)
	}
	runMakesGood(t, dir, stateOf(t, undisturbed))
}
