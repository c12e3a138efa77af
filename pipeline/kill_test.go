package pipeline_test

import (
	"context"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"boutwise/pipeline"
	"boutwise/pipeline/demo"
	"boutwise/pipeline/durable"
)

// These variables make a child process of the test binary run a practice, and
// kill itself before the given change of the disk, counted from 1, or say at
// its end how much memory it took.
const (
	victimEnv       = "BOUTWISE_KILL_TEST_PRACTICE"
	victimAtEnv     = "BOUTWISE_KILL_TEST_AT"
	victimMemoryEnv = "BOUTWISE_KILL_TEST_MEMORY"
	victimForgetEnv = "BOUTWISE_KILL_TEST_FORGET" // a client to forget, in place of a run
)

// TestMain lets the test binary be the process that is killed.
func TestMain(m *testing.M) {
	if dir := os.Getenv(victimEnv); dir != "" {
		os.Exit(victim(dir, os.Getenv(victimAtEnv)))
	}
	os.Exit(m.Run())
}

func victim(dir, at string) int {
	if n, err := strconv.ParseInt(at, 10, 64); err == nil {
		var changes atomic.Int64
		durable.Before = func(durable.Op, string) error {
			if changes.Add(1) != n {
				return nil
			}
			self, err := os.FindProcess(os.Getpid())
			if err == nil {
				err = self.Kill()
			}
			if err != nil {
				return err
			}
			select {} // the blow falls at once, but not within the call
		}
	}
	work := func() error { _, err := pipeline.Run(context.Background(), demoOptions(dir)); return err }
	if client := os.Getenv(victimForgetEnv); client != "" {
		work = func() error { return pipeline.Forget(context.Background(), demoOptions(dir), client) }
	}
	if err := work(); err != nil {
		os.Stderr.WriteString(err.Error() + "\n")
		return 1
	}
	if os.Getenv(victimMemoryEnv) != "" {
		status, _ := os.ReadFile("/proc/self/status")
		os.Stdout.Write(status)
	}
	return 0
}

// A run that is killed at any moment costs nothing: after many kills at random
// moments one undisturbed run gives the output that it would have given alone.
func TestKilledRunsLeaveNoTrace(t *testing.T) {
	kills := 120
	if testing.Short() {
		kills = 20
	}
	dir := smallPractice(t)
	clean := filepath.Join(t.TempDir(), "clean")
	if err := os.CopyFS(clean, os.DirFS(dir)); err != nil {
		t.Fatal(err)
	}
	keepTimes(t, dir, clean)
	if _, err := pipeline.Run(context.Background(), demoOptions(clean)); err != nil {
		t.Fatal(err)
	}
	want := snapshot(t, filepath.Join(clean, "out"))

	rng := rand.New(rand.NewPCG(11, 5))
	killed, finished := 0, 0
	for range kills {
		switch rng.IntN(4) {
		case 0:
			os.RemoveAll(filepath.Join(dir, "store"))
		case 1:
			os.RemoveAll(filepath.Join(dir, "out"))
		}
		if killOne(t, dir, time.Duration(rng.IntN(250_000))*time.Microsecond) {
			killed++
		} else {
			finished++
		}
	}
	t.Logf("%d runs killed, %d ended before the blow", killed, finished)
	if killed < kills/10 {
		t.Errorf("only %d of %d runs were killed: the test tells nothing", killed, kills)
	}
	if _, err := pipeline.Run(context.Background(), demoOptions(dir)); err != nil {
		t.Fatal(err)
	}
	compareSnapshots(t, "after the kills", want, snapshot(t, filepath.Join(dir, "out")))
	if faults, err := pipeline.Check(context.Background(), dir); err != nil || len(faults) > 0 {
		t.Errorf("check: %v, %v", faults, err)
	}
}

// killOne starts a run and kills it after a while; false when it ended before.
func killOne(t *testing.T, dir string, after time.Duration) bool {
	t.Helper()
	return wasKilled(t, dir, "", func(p *os.Process) (cancel func() bool) {
		return time.AfterFunc(after, func() { p.Signal(syscall.SIGKILL) }).Stop
	})
}

// killAt starts a run that kills itself before its nth change of the disk;
// false when it made fewer.
func killAt(t *testing.T, dir string, n int) bool {
	t.Helper()
	return wasKilled(t, dir, strconv.Itoa(n), alone)
}

// alone does nothing to a child.
func alone(*os.Process) (cancel func() bool) { return func() bool { return false } }

// wasKilled runs a child, does something to it, and tells whether it was
// killed. One that fails by itself fails the test.
func wasKilled(t *testing.T, dir, at string, started func(*os.Process) (cancel func() bool)) bool {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), victimEnv+"="+dir, victimAtEnv+"="+at)
	var complaint strings.Builder
	cmd.Stderr = &complaint
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	cancel := started(cmd.Process)
	err := cmd.Wait()
	cancel()
	if err == nil {
		return false
	}
	status, _ := cmd.ProcessState.Sys().(syscall.WaitStatus)
	if !status.Signaled() {
		t.Fatalf("a run failed by itself: %v: %s", err, complaint.String())
	}
	return true
}

// smallPractice is the demonstration cut down to what two clients did in a
// few weeks.
func smallPractice(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	if _, err := demo.Write(dir, demo.Options{}); err != nil {
		t.Fatal(err)
	}
	clients, _ := filepath.Glob(filepath.Join(dir, "inbox", "*"))
	for i, client := range clients {
		exports, _ := filepath.Glob(filepath.Join(client, "*"))
		for k, export := range exports {
			if i > 1 || k > 14 {
				os.RemoveAll(export)
			}
		}
	}
	return dir
}

// keepTimes gives the copies the times of the originals: an export is known
// by size and time.
func keepTimes(t *testing.T, from, to string) {
	t.Helper()
	originals, _ := filepath.Glob(filepath.Join(from, "inbox", "*", "*"))
	for _, path := range originals {
		info, err := os.Stat(path)
		rel, _ := filepath.Rel(from, path)
		if err == nil {
			err = os.Chtimes(filepath.Join(to, rel), info.ModTime(), info.ModTime())
		}
		if err != nil {
			t.Fatal(err)
		}
	}
}
