package pipeline

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"boutwise/parsers"
)

// inboxWith makes an inbox with files of the given paths, each holding its
// own path.
func inboxWith(t *testing.T, paths ...string) string {
	t.Helper()
	inbox := filepath.Join(t.TempDir(), "inbox")
	for _, p := range paths {
		full := filepath.Join(inbox, filepath.FromSlash(p))
		must(t, os.MkdirAll(filepath.Dir(full), 0o755))
		must(t, os.WriteFile(full, []byte(p), 0o644))
	}
	must(t, os.MkdirAll(inbox, 0o755))
	return inbox
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// scanned lists the paths that scan finds, a "!" before those with an error.
func scanned(t *testing.T, inbox string) []string {
	t.Helper()
	files, err := scan(inbox)
	must(t, err)
	var paths []string
	for _, f := range files {
		if f.err != nil {
			f.path = "!" + f.path
		}
		paths = append(paths, f.path)
	}
	return paths
}

func wantPaths(t *testing.T, got []string, want ...string) {
	t.Helper()
	if !slices.Equal(got, want) {
		t.Errorf("found %q, want %q", got, want)
	}
}

func TestScanListsInOrderOfPaths(t *testing.T) {
	inbox := inboxWith(t, "c2/a.fit", "c1/deep/er/b.gpx", "c1/deep.fit", "c1/ä ö.tcx", "stray.fit", "c1/deep-2/a.fit")
	wantPaths(t, scanned(t, inbox), "c1/deep-2/a.fit", "c1/deep.fit", "c1/deep/er/b.gpx", "c1/ä ö.tcx", "c2/a.fit", "stray.fit")
	files, _ := scan(inbox)
	first := files[0]
	info, err := os.Stat(filepath.Join(inbox, "c1", "deep-2", "a.fit"))
	must(t, err)
	if first.client() != "c1" || first.size != info.Size() || first.modTimeNS != info.ModTime().UnixNano() {
		t.Errorf("%+v", first)
	}
	if last := files[len(files)-1]; last.client() != "" {
		t.Errorf("a file in no folder belongs to %q", last.client())
	}
}

func TestScanLeavesHiddenOut(t *testing.T) {
	inbox := inboxWith(t, "c1/.DS_Store", "c1/.partial/a.fit", ".trash/c1/a.fit", ".lock", "c1/a.fit", "c1/b.c.fit")
	wantPaths(t, scanned(t, inbox), "c1/a.fit", "c1/b.c.fit")
}

func TestScanOfAnEmptyInbox(t *testing.T) {
	wantPaths(t, scanned(t, inboxWith(t)))
}

func TestScanFollowsLinks(t *testing.T) {
	inbox := inboxWith(t, "c1/a.fit")
	elsewhere := filepath.Join(t.TempDir(), "elsewhere.fit")
	must(t, os.WriteFile(elsewhere, make([]byte, 77), 0o644))
	must(t, os.Symlink(elsewhere, filepath.Join(inbox, "c1", "linked.fit")))
	must(t, os.Symlink(filepath.Join(inbox, "nowhere"), filepath.Join(inbox, "c1", "broken.fit")))
	must(t, os.Symlink(filepath.Join(inbox, "c1"), filepath.Join(inbox, "c1", "loop")))
	wantPaths(t, scanned(t, inbox), "c1/a.fit", "!c1/broken.fit", "c1/linked.fit", "!c1/loop")
	files, _ := scan(inbox)
	if linked := files[2]; linked.size != 77 {
		t.Errorf("the link's own size counted: %d", linked.size)
	}
}

// The inbox itself may be a link to a share; its files keep their paths.
func TestScanOfALinkedInbox(t *testing.T) {
	inbox := inboxWith(t, "c1/a.fit", ".hidden/a.fit")
	link := filepath.Join(t.TempDir(), "inbox")
	must(t, os.Symlink(inbox, link))
	wantPaths(t, scanned(t, link), "c1/a.fit")
	// A hidden folder may hold the practice without hiding its inbox.
	wantPaths(t, scanned(t, filepath.Join(inbox, ".hidden")), "a.fit")
}

func TestScanRefusesWhatIsNoFolder(t *testing.T) {
	inbox := inboxWith(t, "c1/a.fit")
	for name, path := range map[string]string{
		"missing": filepath.Join(inbox, "none"),
		"a file":  filepath.Join(inbox, "c1", "a.fit"),
	} {
		files, err := scan(path)
		if err == nil {
			t.Errorf("%s: found %v", name, files)
		} else if text := err.Error(); !strings.Contains(text, path) || !strings.Contains(text, "put each client's exports into") {
			t.Errorf("%s: %q names neither place nor remedy", name, text)
		}
	}
}

// What could not be opened is tried again by every run, although neither size
// nor time change when its rights are put right.
func TestUnreadableFileIsTriedAgain(t *testing.T) {
	inbox := inboxWith(t, "c1/a.fit")
	files, err := scan(inbox)
	must(t, err)
	must(t, os.Remove(filepath.Join(inbox, "c1", "a.fit"))) // gone between the two
	in := &ingester{inbox: inbox}
	r, err := in.readFile(files[0])
	must(t, err)
	record := r.record
	if len(record.Members) != 1 || record.Members[0].Status != statusRefused || !strings.Contains(record.Members[0].Reason, "open") {
		t.Fatalf("%+v", record.Members)
	}
	if record.current(files[0], false, in.limits) {
		t.Error("a failure to open it counts as knowing it")
	}
}

func TestCurrent(t *testing.T) {
	f := found{path: "c1/a.fit", size: 10, modTimeNS: 20}
	known := exportRecord{Version: readingVersion, Size: 10, ModTimeNS: 20, Limits: limitsSum(parsers.Limits{})}
	tests := map[string]struct {
		change func(*exportRecord, *found)
		want   bool
	}{
		"as it was":   {func(*exportRecord, *found) {}, true},
		"grown":       {func(_ *exportRecord, f *found) { f.size++ }, false},
		"touched":     {func(_ *exportRecord, f *found) { f.modTimeNS-- }, false},
		"old reading": {func(r *exportRecord, _ *found) { r.Version-- }, false},
		"position":    {func(r *exportRecord, _ *found) { r.Position = true }, false},
		"unreadable":  {func(_ *exportRecord, f *found) { f.err = os.ErrPermission }, false},
		"deferred": {func(r *exportRecord, _ *found) {
			r.Members = []memberRecord{{Status: statusRead}, {Status: statusDeferred}}
		}, false},
		"refused":            {func(r *exportRecord, _ *found) { r.Members = []memberRecord{{Status: statusRefused}} }, true},
		"read within others": {func(r *exportRecord, _ *found) { r.Limits = limitsSum(parsers.Limits{MaxBytes: 7}) }, false},
	}
	for name, tt := range tests {
		r, f := known, f
		tt.change(&r, &f)
		if got := r.current(f, false, parsers.Limits{}); got != tt.want {
			t.Errorf("%s: current is %v", name, got)
		}
	}
}

// Damage is believed once the export has lain still for a while, or when its
// time stamp makes no sense.
func TestDamagedIsDeferredWhileYoung(t *testing.T) {
	now := time.Date(2026, 3, 2, 3, 0, 0, 0, time.UTC)
	in := &ingester{now: now}
	tests := []struct {
		name   string
		age    time.Duration
		status string
		want   string
	}{
		{"young and refused", 10 * time.Second, statusRefused, statusDeferred},
		{"young and salvaged", 10 * time.Second, statusSalvaged, statusDeferred},
		{"young and whole", 10 * time.Second, statusRead, statusRead},
		{"settled", settleTime + time.Second, statusRefused, statusRefused},
		{"settled and salvaged", time.Hour, statusSalvaged, statusSalvaged},
		{"from the future", -time.Hour, statusRefused, statusRefused},
	}
	for _, tt := range tests {
		m := memberRecord{Status: tt.status, Reason: "cut off", Legs: []legRecord{{Seconds: 5}}}
		got := in.damaged(found{modTimeNS: now.Add(-tt.age).UnixNano()}, m)
		if got.Status != tt.want {
			t.Errorf("%s: %s, want %s", tt.name, got.Status, tt.want)
		}
		if deferred := got.Status == statusDeferred; deferred != (len(got.Legs) == 0) || !strings.Contains(got.Reason, "cut off") {
			t.Errorf("%s: %+v", tt.name, got)
		}
	}
}
