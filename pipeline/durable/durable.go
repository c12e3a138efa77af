// Package durable changes files so that a crash, a full disk or a power cut
// leaves each of them whole: as it was, or as it was to be. All that the
// program writes goes through here or through the store's transactions.
package durable

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
)

// Op is one change of the disk.
type Op string

// The changes, in the order in which a file goes through them. Commit is a
// transaction of the store.
const (
	Create Op = "create" // a temporary file
	Write  Op = "write"  // its bytes
	Sync   Op = "sync"   // its bytes onto the disk
	Rename Op = "rename" // it takes its place
	Remove Op = "remove" // of a file or a folder with all that is in it
	Commit Op = "commit"
)

// Before is called before every change; its error stands for a failure of the
// change itself. It is nil except in tests, which end or fail a run at a
// chosen change with it. It must be set before anything is written, and be
// safe for several goroutines.
var Before func(op Op, path string) error

// Reached announces a change to [Before].
func Reached(op Op, path string) error {
	if Before == nil {
		return nil
	}
	return Before(op, path)
}

// TempPrefix begins the name of every file that is not yet in its place.
// Readers of folders skip names that begin with a dot.
const TempPrefix = ".partial-"

// Writer says how files are replaced.
type Writer struct {
	// TempDir is the folder for temporary files, on the disk of the files
	// that they become; "" for the folder of each.
	TempDir string
	// NoSync leaves it to the operating system when bytes reach the disk: a
	// power cut may then leave a file short or empty. It is for what can be
	// told to be damaged and made anew.
	NoSync bool
	// Later leaves it to [Settle], where the system can settle many files at
	// once for the price of a few; elsewhere the bytes are waited for.
	Later bool
}

// File replaces a file by data, readable by its owner alone unless it was
// there with other permissions. Folders on the way are made.
func (w Writer) File(path string, data []byte) error {
	return w.Fill(path, func(out io.Writer) error {
		_, err := out.Write(data)
		return err
	})
}

// Fill is [Writer.File] with the bytes that fill writes.
func (w Writer) Fill(path string, fill func(io.Writer) error) error {
	if err := w.replace(path, fill); err != nil {
		return fmt.Errorf("%s: not written: %w", path, plain(err))
	}
	return nil
}

func (w Writer) replace(path string, fill func(io.Writer) error) (err error) {
	dir := filepath.Dir(path)
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	if w.TempDir != "" {
		dir = w.TempDir
	}
	if err := Reached(Create, path); err != nil {
		return err
	}
	tmp, err := os.CreateTemp(dir, TempPrefix+"*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			os.Remove(tmp.Name())
		}
	}()
	if err := errors.Join(w.fill(tmp, path, fill), tmp.Close()); err != nil {
		return err
	}
	if err := Reached(Rename, path); err != nil {
		return err
	}
	return os.Rename(tmp.Name(), path)
}

// fill brings the bytes and the permissions of path into the temporary file.
func (w Writer) fill(tmp *os.File, path string, fill func(io.Writer) error) error {
	if err := Reached(Write, path); err != nil {
		return err
	}
	if err := fill(tmp); err != nil {
		return err
	}
	if info, err := os.Stat(path); err == nil && info.Mode().IsRegular() {
		if err := tmp.Chmod(info.Mode().Perm()); err != nil {
			return err
		}
	}
	if w.NoSync || w.Later && settles {
		return nil
	}
	if err := Reached(Sync, path); err != nil {
		return err
	}
	return tmp.Sync()
}

// Settle waits until all that was written [Writer.Later] into the folders, and
// below them on the same disk, is on it. A folder that is not there holds
// nothing to wait for.
func Settle(dirs ...string) error {
	for _, dir := range dirs {
		err := Reached(Sync, dir)
		if err == nil {
			err = settle(dir)
		}
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("%s: not brought onto the disk: %w", dir, plain(err))
		}
	}
	return nil
}

// Delete removes files, or folders with all that is in them. What is not
// there is no error.
func Delete(paths ...string) error {
	for _, path := range paths {
		if _, err := os.Lstat(path); errors.Is(err, fs.ErrNotExist) {
			continue
		}
		err := Reached(Remove, path)
		if err == nil {
			err = os.RemoveAll(path)
		}
		if err != nil {
			return fmt.Errorf("%s: not removed: %w", path, plain(err))
		}
	}
	return nil
}

// Sweep removes the temporary files that a crash left below dir.
func Sweep(dir string) error {
	return filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		if err != nil || d.IsDir() || !leftover(d.Name()) {
			return err
		}
		return Delete(path)
	})
}

// leftover tells a temporary file by its name.
func leftover(name string) bool {
	return len(name) > len(TempPrefix) && name[:len(TempPrefix)] == TempPrefix
}

// plain is a failure of the file system without the name of a temporary file,
// which says nothing to anybody, and with what can be done about it.
func plain(err error) error {
	var path *fs.PathError
	if errors.As(err, &path) {
		err = path.Err
	}
	var link *os.LinkError
	if errors.As(err, &link) {
		err = link.Err
	}
	return WithRemedy(err)
}

// WithRemedy adds to a failure of the disk what can be done about it.
func WithRemedy(err error) error {
	switch {
	case errors.Is(err, syscall.ENOSPC), errors.Is(err, syscall.EDQUOT):
		return fmt.Errorf("%w; make room and run again, nothing is lost", err)
	case errors.Is(err, fs.ErrPermission), errors.Is(err, syscall.EROFS):
		return fmt.Errorf("%w; let the user who runs the program write there and run again", err)
	}
	return err
}
