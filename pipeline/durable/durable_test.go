package durable

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
)

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// content reads a file; "" when there is none.
func content(t *testing.T, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		t.Fatal(err)
	}
	return string(data)
}

// entries lists a folder.
func entries(t *testing.T, dir string) (names []string) {
	t.Helper()
	list, err := os.ReadDir(dir)
	must(t, err)
	for _, e := range list {
		names = append(names, e.Name())
	}
	return names
}

func TestFileIsReplacedWhole(t *testing.T) {
	path := filepath.Join(t.TempDir(), "deep", "er", "a.csv")
	must(t, Writer{}.File(path, []byte("one")))
	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("%v, %v: readable by its owner alone", info.Mode(), err)
	}
	// Who opened a file to others finds it open after it was replaced.
	must(t, os.Chmod(path, 0o640))
	must(t, Writer{NoSync: true}.File(path, []byte("two")))
	info, err := os.Stat(path)
	if must(t, err); info.Mode().Perm() != 0o640 || content(t, path) != "two" {
		t.Errorf("%v %q", info.Mode(), content(t, path))
	}
	if got := entries(t, filepath.Dir(path)); !slices.Equal(got, []string{"a.csv"}) {
		t.Errorf("left behind: %v", got)
	}
}

// A failure at any change leaves the old file and nothing else, and is told
// without the name of a temporary file.
func TestFailuresLeaveTheOldFile(t *testing.T) {
	defer func() { Before = nil }()
	for _, at := range []Op{Create, Write, Sync, Rename} {
		dir := t.TempDir()
		path := filepath.Join(dir, "a")
		Before = nil
		must(t, Writer{}.File(path, []byte("old")))
		Before = func(op Op, path string) error {
			if op == at {
				return &fs.PathError{Op: "write", Path: path, Err: syscall.ENOSPC}
			}
			return nil
		}
		err := Writer{}.File(path, []byte("new"))
		if !errors.Is(err, syscall.ENOSPC) || !strings.HasPrefix(err.Error(), path+": not written: no space left") || !strings.Contains(err.Error(), "make room") {
			t.Errorf("%s: %v", at, err)
		}
		if got := entries(t, dir); content(t, path) != "old" || !slices.Equal(got, []string{"a"}) {
			t.Errorf("%s: %q among %v", at, content(t, path), got)
		}
	}
	dir := t.TempDir()
	Before = nil
	broken := errors.New("broken")
	err := Writer{TempDir: dir}.Fill(filepath.Join(dir, "b"), func(out io.Writer) error {
		io.WriteString(out, "half")
		return broken
	})
	if !errors.Is(err, broken) || len(entries(t, dir)) > 0 {
		t.Errorf("%v among %v", err, entries(t, dir))
	}
	if err := (Writer{}).File(filepath.Join(dir, "file", "x"), nil); err != nil {
		t.Error(err)
	}
	err = Writer{}.File(filepath.Join(dir, "file", "x", "y"), nil)
	if err == nil || strings.Contains(err.Error(), TempPrefix) {
		t.Errorf("below a file: %v", err)
	}
}

func TestDeleteAndSweep(t *testing.T) {
	dir := t.TempDir()
	must(t, Writer{}.File(filepath.Join(dir, "kept", ".hidden"), nil))
	must(t, Writer{}.File(filepath.Join(dir, "gone", "a"), nil))
	must(t, os.WriteFile(filepath.Join(dir, "kept", TempPrefix+"123"), nil, 0o600))
	must(t, Delete(filepath.Join(dir, "gone"), filepath.Join(dir, "never there")))
	must(t, Sweep(dir))
	must(t, Sweep(filepath.Join(dir, "never there")))
	if top, kept := entries(t, dir), entries(t, filepath.Join(dir, "kept")); len(top) != 1 || !slices.Equal(kept, []string{".hidden"}) {
		t.Errorf("%v, %v", top, kept)
	}
	defer func() { Before = nil }()
	Before = func(Op, string) error { return fs.ErrPermission }
	if err := Delete(filepath.Join(dir, "kept")); !errors.Is(err, fs.ErrPermission) || !strings.Contains(err.Error(), "not removed") {
		t.Error(err)
	}
}

// What is written later is there at once, and on the disk when Settle returns;
// a disk that fails is told with the folder and what to do.
func TestSettle(t *testing.T) {
	defer func() { Before = nil }()
	dir := t.TempDir()
	path := filepath.Join(dir, "a.html")
	var ops []Op
	Before = func(op Op, _ string) error { ops = append(ops, op); return nil }
	must(t, Writer{Later: true}.File(path, []byte("one")))
	must(t, Settle(dir))
	if content(t, path) != "one" {
		t.Errorf("%q", content(t, path))
	}
	if synced := slices.Index(ops, Sync); settles && synced != len(ops)-1 {
		t.Errorf("%v: the bytes were waited for before Settle", ops)
	}
	Before = func(op Op, path string) error {
		if op == Sync {
			return &fs.PathError{Op: string(op), Path: path, Err: syscall.ENOSPC}
		}
		return nil
	}
	err := Settle(dir)
	if err == nil || !strings.HasPrefix(err.Error(), dir+": not brought onto the disk: ") || !strings.Contains(err.Error(), "make room") {
		t.Errorf("%v", err)
	}
	Before = nil
	if err := Settle(filepath.Join(dir, "none"), dir); err != nil {
		t.Errorf("a folder that is not there: %v", err)
	}
}
