package pipeline_test

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"boutwise/pipeline"
	"boutwise/pipeline/tables"
)

// nobody is the user and group id that has no rights of its own.
const nobody = 65534

// ordinaryUser gives a way to run a practice under the rights of an ordinary
// user, whom folders can be closed to: root may read and write everything.
func ordinaryUser(t *testing.T, dir string) (run func() (complaint string)) {
	t.Helper()
	program := os.Args[0]
	var rights *syscall.SysProcAttr
	if os.Geteuid() == 0 {
		rights = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
		// The test binary lies in a folder of root's own.
		program = filepath.Join(filepath.Dir(filepath.Dir(dir)), "program")
		copyFile(t, os.Args[0], program)
		must(t, os.Chmod(program, 0o755))
		err := filepath.WalkDir(filepath.Dir(filepath.Dir(dir)), func(path string, _ os.DirEntry, err error) error {
			if err != nil {
				return err
			}
			return os.Lchown(path, nobody, nobody)
		})
		must(t, err)
	}
	return func() string {
		cmd := exec.Command(program)
		cmd.Env = append(os.Environ(), victimEnv+"="+dir)
		cmd.SysProcAttr = rights
		said, err := cmd.CombinedOutput()
		if (err != nil) != (len(said) > 0) {
			t.Fatalf("%v: %s", err, said)
		}
		return strings.TrimSpace(string(said))
	}
}

// shut takes the rights from a file or folder and gives them back.
func shut(t *testing.T, path string, rights os.FileMode) (open func()) {
	t.Helper()
	info, err := os.Stat(path)
	must(t, err)
	must(t, os.Chmod(path, rights))
	open = func() { os.Chmod(path, info.Mode().Perm()) }
	t.Cleanup(open)
	return open
}

// What the program may not read is refused with the reason and read as soon as
// it may; what else there is, is read at once.
func TestUnreadableExports(t *testing.T) {
	dir := copyPractice(t, tinyPractice(t))
	undisturbed := copyPractice(t, dir)
	countChanges(t, undisturbed)
	run := ordinaryUser(t, dir)
	openFile := shut(t, filepath.Join(dir, "inbox", "c1", "wednesday.tcx"), 0)
	openFolder := shut(t, filepath.Join(dir, "inbox", "c1", "copies"), 0)
	openArchive := shut(t, filepath.Join(dir, "inbox", "c2", "all.zip"), 0)
	if said := run(); said != "" {
		t.Fatal(said)
	}
	reasons := map[string]string{}
	for _, client := range []string{"c1", "c2"} {
		for _, f := range readTable[tables.File](t, dir, tables.Files, client) {
			reasons[f.Path] = f.Status + ": " + f.Reason
		}
	}
	for _, path := range []string{"c1/wednesday.tcx", "c1/copies", "c2/all.zip"} {
		if got := reasons[path]; !strings.HasPrefix(got, "refused: ") || !strings.Contains(got, "permission denied") {
			t.Errorf("%s: %q", path, got)
		}
	}
	if got := reasons["c1/thursday.gpx.gz"]; got != "read: " {
		t.Errorf("its neighbour: %q", got)
	}
	openFile()
	openFolder()
	openArchive()
	if said := run(); said != "" {
		t.Fatal(said)
	}
	compareSnapshots(t, "the next run", stateOf(t, undisturbed), stateOf(t, dir))
}

// An output or store that the program may not write to is named in one line.
func TestFoldersWithoutRights(t *testing.T) {
	for _, folder := range []string{"store", "out"} {
		t.Run(folder, func(t *testing.T) {
			dir := copyPractice(t, tinyPractice(t))
			undisturbed := copyPractice(t, dir)
			countChanges(t, undisturbed)
			must(t, os.MkdirAll(filepath.Join(dir, folder), 0o700))
			run := ordinaryUser(t, dir)
			open := shut(t, filepath.Join(dir, folder), 0o500)
			said := run()
			for _, word := range []string{filepath.Join(dir, folder), "permission denied", "let the user who runs the program write there"} {
				if !strings.Contains(said, word) {
					t.Errorf("%q does not say %q", said, word)
				}
			}
			if strings.Contains(said, "\n") {
				t.Errorf("not one line: %q", said)
			}
			open()
			if said := run(); said != "" {
				t.Fatal(said)
			}
			compareSnapshots(t, "the next run", stateOf(t, undisturbed), stateOf(t, dir))
		})
	}
}

// smallDiskEnv makes the test binary run TestFullDisk's inside: it may mount.
const smallDiskEnv = "BOUTWISE_SMALL_DISK"

// A real disk that runs full somewhere, the store's transactions included: the
// practice lies on a disk in memory that is too small, and is then given room.
func TestFullDisk(t *testing.T) {
	if os.Getenv(smallDiskEnv) != "" {
		onSmallDisks(t)
		return
	}
	cmd := exec.Command(os.Args[0], "-test.run=^TestFullDisk$", "-test.v")
	cmd.Env = append(os.Environ(), smallDiskEnv+"=1")
	cmd.SysProcAttr = &syscall.SysProcAttr{
		Cloneflags:  syscall.CLONE_NEWUSER | syscall.CLONE_NEWNS,
		UidMappings: []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getuid(), Size: 1}},
		GidMappings: []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getgid(), Size: 1}},
	}
	said, err := cmd.CombinedOutput()
	switch {
	case cmd.ProcessState == nil, strings.Contains(string(said), mayNotMount):
		t.Skipf("this machine lets no test mount a disk: %v", err)
	case err != nil:
		t.Errorf("%v\n%s", err, said)
	}
	t.Log(string(said))
}

// mayNotMount is what the inside says when it cannot do its work.
const mayNotMount = "may not mount"

func onSmallDisks(t *testing.T) {
	source := tinyPractice(t)
	undisturbed := copyPractice(t, source)
	countChanges(t, undisturbed)
	want := stateOf(t, undisturbed)
	full := 0
	for kib := 40; kib <= 600; kib += 40 {
		disk := filepath.Join(t.TempDir(), "disk")
		must(t, os.MkdirAll(disk, 0o700))
		if err := syscall.Mount("tmpfs", disk, "tmpfs", 0, fmt.Sprintf("size=%dk", kib)); err != nil {
			t.Fatal(mayNotMount, err)
		}
		dir := filepath.Join(disk, "practice")
		must(t, os.Mkdir(dir, 0o700))
		for _, name := range []string{"inbox", "practice.toml", "clients.csv"} {
			must(t, os.Symlink(filepath.Join(source, name), filepath.Join(dir, name)))
		}
		if _, err := pipeline.Run(context.Background(), demoOptions(dir)); err != nil {
			full++
			said := err.Error()
			if !strings.Contains(said, "no space left on device") || !strings.Contains(said, "make room") || strings.Contains(said, "\n") {
				t.Errorf("%d KiB: %q", kib, said)
			}
		}
		must(t, syscall.Mount("tmpfs", disk, "tmpfs", syscall.MS_REMOUNT, "size=20m"))
		if _, err := pipeline.Run(context.Background(), demoOptions(dir)); err != nil {
			t.Fatalf("%d KiB and then room: %v", kib, err)
		}
		compareSnapshots(t, fmt.Sprintf("%d KiB and then room", kib), want, stateOf(t, dir))
		must(t, syscall.Unmount(disk, 0))
	}
	t.Logf("%d disks ran full", full)
	if full < 3 {
		t.Error("too few to tell anything")
	}
}
