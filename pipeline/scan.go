package pipeline

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"boutwise/pipeline/practice"
)

// found is one file in the inbox.
type found struct {
	path      string // relative to the inbox, with forward slashes
	size      int64
	modTimeNS int64
	err       error // why it could not be looked at
}

// client is the folder that holds the file; "" directly in the inbox, or in a
// folder whose name cannot be a client's.
func (f found) client() string { return clientOf(f.path) }

func clientOf(path string) string {
	client, _, nested := strings.Cut(path, "/")
	if !nested || practice.UnusableID(client) != "" {
		return ""
	}
	return client
}

// scan lists the inbox in the order of paths. Files and folders whose name
// begins with a dot are a file manager's own and left out. An entry that
// cannot be looked at, or has a name that no table could hold, is listed with
// its error.
func scan(inbox string) ([]found, error) {
	// The inbox itself may be a link, to a share for example; a walk would not
	// follow it.
	root, err := filepath.EvalSymlinks(inbox)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%s: no such folder; put each client's exports into %s", inbox, filepath.Join(inbox, "CLIENT_ID"))
	}
	if err != nil {
		return nil, fmt.Errorf("inbox: %w", err)
	}
	if info, err := os.Stat(root); err == nil && !info.IsDir() {
		return nil, fmt.Errorf("%s: a file, not a folder; put each client's exports into %s", inbox, filepath.Join(inbox, "CLIENT_ID"))
	}
	var files []found
	err = filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		rel, relErr := filepath.Rel(root, path)
		if relErr != nil {
			return relErr
		}
		rel = filepath.ToSlash(rel)
		switch {
		case rel == "." && err != nil:
			return err
		case rel != "." && strings.HasPrefix(filepath.Base(path), "."):
			if d != nil && d.IsDir() {
				return fs.SkipDir
			}
		case err != nil:
			files = append(files, found{path: printable(rel), err: err})
			if d != nil && d.IsDir() {
				return fs.SkipDir
			}
		case !d.IsDir():
			files = append(files, look(path, rel))
		}
		return nil
	})
	if err != nil {
		return nil, fmt.Errorf("inbox: %w", err)
	}
	slices.SortFunc(files, func(a, b found) int { return cmp.Compare(a.path, b.path) })
	return files, nil
}

// look follows a link, so that a linked export counts as the file it names. A
// link to a folder is not walked: it could lead round in a circle.
func look(path, rel string) found {
	folder, _, nested := strings.Cut(rel, "/")
	what := practice.UnusableID(folder)
	switch {
	case rel != printable(rel):
		return found{path: printable(rel), err: errors.New("its name holds characters that cannot be shown; give it another name")}
	case nested && what != "":
		return found{path: rel, err: fmt.Errorf("lies in a folder that cannot be a client's: its name %s; give it another name", what)}
	}
	info, err := os.Stat(path)
	if err != nil {
		return found{path: rel, err: err}
	}
	if !info.Mode().IsRegular() {
		return found{path: rel, err: fmt.Errorf("%s, not a file; put the exports themselves here", kindOf(info.Mode()))}
	}
	return found{path: rel, size: info.Size(), modTimeNS: info.ModTime().UnixNano()}
}

// kindOf names what is neither file nor folder. Opening such a thing could
// wait, or read, for ever.
func kindOf(mode fs.FileMode) string {
	switch {
	case mode.IsDir():
		return "a link to a folder"
	case mode&fs.ModeNamedPipe != 0:
		return "a named pipe"
	case mode&fs.ModeSocket != 0:
		return "a socket"
	}
	return "a device"
}

// printable writes the bytes of a name that no table could hold as \xNN.
func printable(name string) string {
	var b strings.Builder
	for i := 0; i < len(name); {
		r, n := utf8.DecodeRuneInString(name[i:])
		if unicode.IsControl(r) || r == utf8.RuneError && n == 1 {
			for _, c := range []byte(name[i : i+n]) {
				fmt.Fprintf(&b, `\x%02x`, c)
			}
		} else {
			b.WriteString(name[i : i+n])
		}
		i += n
	}
	return b.String()
}
