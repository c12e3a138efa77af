package pipeline_test

import (
	"os"
	"path/filepath"
	"testing"

	"boutwise/pipeline/tables"
)

// An export that lay in the wrong client's folder and was moved to the right
// one counts for that one alone; what the wrong one had of it is gone.
func TestMovedToAnotherClient(t *testing.T) {
	dir := t.TempDir()
	put(t, dir,
		"inbox/c1/a.gpx", gpxOf(morning, 900, rounds), "inbox/c1/b.gpx", gpxOf(morning.AddDate(0, 0, 1), 900, rounds),
		"inbox/c2/c.gpx", gpxOf(morning.AddDate(0, 0, 2), 900, rounds))
	runOnce(t, dir)
	rename(t, filepath.Join(dir, "inbox", "c1", "b.gpx"), filepath.Join(dir, "inbox", "c2", "b.gpx"))
	runOnce(t, dir)
	if one, two := readTable[tables.Session](t, dir, tables.Sessions, "c1"), readTable[tables.Session](t, dir, tables.Sessions, "c2"); len(one) != 1 || len(two) != 2 {
		t.Errorf("c1 has %d sessions, c2 has %d, want 1 and 2", len(one), len(two))
	}
	// A client whose last export was moved away is no client any more: the
	// output is that of a practice that never knew it.
	rename(t, filepath.Join(dir, "inbox", "c1", "a.gpx"), filepath.Join(dir, "inbox", "c2", "a.gpx"))
	runOnce(t, dir)
	fresh := t.TempDir()
	must(t, os.CopyFS(filepath.Join(fresh, "inbox", "c2"), os.DirFS(filepath.Join(dir, "inbox", "c2"))))
	runOnce(t, fresh)
	must(t, os.Remove(filepath.Join(dir, "inbox", "c1")))
	compareSnapshots(t, "all moved", stateOf(t, fresh), stateOf(t, dir))
}

// A refused file that was taken away is not told of for ever, nor is what lay
// in no client's folder.
func TestRefusedAndTakenAway(t *testing.T) {
	dir := tinyPractice(t)
	undisturbed := copyPractice(t, dir)
	runOnce(t, undisturbed)
	put(t, dir, "inbox/c1/photo.jpg", "no export", "inbox/stray.gpx", gpxOf(morning, 60, rounds), "inbox/c1/one.zip", zipOf(t, "a.txt", []byte("x")))
	runOnce(t, dir)
	for _, name := range []string{"c1/photo.jpg", "stray.gpx", "c1/one.zip"} {
		must(t, os.Remove(filepath.Join(dir, "inbox", name)))
	}
	runMakesGood(t, dir, stateOf(t, undisturbed))
}
