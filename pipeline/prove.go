package pipeline

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"boutwise/pipeline/store"
)

// shortestInBytes is the length from which a word is looked for in the raw
// bytes of files that are no text. Shorter ones come up there by chance: two
// given bytes once in 65,536, six once in 280 million million.
const shortestInBytes = 6

// proveForgotten looks for the client's id and name in the names of all files
// below store and out, in what they hold, and in the texts of all records. An
// id or name that is a common word may stand there for another reason, so what
// is found is told with its place.
func proveForgotten(st *store.Store, dir, client, name string) error {
	sought := []string{client}
	if name != "" {
		sought = append(sought, name)
	}
	var traces []string
	for _, root := range []string{"store", "out"} {
		err := filepath.WalkDir(filepath.Join(dir, root), func(path string, d fs.DirEntry, err error) error {
			if errors.Is(err, fs.ErrNotExist) {
				return nil
			}
			if err != nil {
				return err
			}
			found := d.Name() == client || strings.HasPrefix(d.Name(), partition(client)+".") || isSamplesOf(client, d.Name())
			if !found && !d.IsDir() {
				found, err = fileHolds(path, sought)
			}
			if rel, _ := filepath.Rel(dir, path); found {
				traces = append(traces, rel)
			}
			return err
		})
		if err != nil {
			return fmt.Errorf("looking for %s: %w", client, err)
		}
	}
	err := st.View(func(tx *store.Tx) error {
		return store.EachText(tx, func(bucket store.Bucket, text string) {
			at := "the store's " + string(bucket)
			if holdsAny([]byte(text), sought) && !slices.Contains(traces, at) {
				traces = append(traces, at)
			}
		})
	})
	if err != nil {
		return err
	}
	if len(traces) > 0 {
		return fmt.Errorf("%s still stands in %s", client, strings.Join(traces, ", "))
	}
	return nil
}

// fileHolds tells whether a file holds one of the words: any of them in a text,
// the longer ones in what is none.
func fileHolds(path string, words []string) (bool, error) {
	data, err := os.ReadFile(path)
	switch filepath.Ext(path) {
	case ".csv", ".html", ".css", ".js", ".json", ".holder":
	default:
		words = slices.DeleteFunc(slices.Clone(words), func(w string) bool { return len(w) < shortestInBytes })
	}
	return holdsAny(data, words), err
}

func holdsAny(data []byte, words []string) bool {
	return slices.ContainsFunc(words, func(w string) bool { return holdsWord(data, w) })
}

// holdsWord tells whether data holds a word by itself: c10 is not in c101.
func holdsWord(data []byte, word string) bool {
	for rest := data; ; {
		i := bytes.Index(rest, []byte(word))
		if i < 0 {
			return false
		}
		end := i + len(word)
		before := i > 0 && isWordByte(rest[i-1])
		after := end < len(rest) && isWordByte(rest[end])
		if !before && !after {
			return true
		}
		rest = rest[end:]
	}
}

func isWordByte(b byte) bool {
	return b == '_' || b == '-' || '0' <= b && b <= '9' || 'a' <= b && b <= 'z' || 'A' <= b && b <= 'Z'
}
