// Package parsertest is what the parsers' tests share: the real device files
// that come with the decoders' modules, and what every recording promises.
package parsertest

import (
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"boutwise/testdata/realfiles"
)

// The modules that bring files.
const (
	Tormoder  = realfiles.Tormoder
	Muktihari = realfiles.Muktihari
	GPXGo     = realfiles.GPXGo
)

// Read gives one file of a module.
func Read(tb testing.TB, module, path string) []byte {
	tb.Helper()
	data, err := os.ReadFile(filepath.Join(realfiles.Dir(tb, module), path))
	if err != nil {
		tb.Fatal(err)
	}
	return data
}

// Files lists the files of a module under a folder whose names end in one of
// the suffixes, in lexical order, relative to the module.
func Files(tb testing.TB, module, under string, suffixes ...string) (files []string) {
	tb.Helper()
	root := realfiles.Dir(tb, module)
	err := filepath.WalkDir(filepath.Join(root, under), func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		for _, suffix := range suffixes {
			if strings.HasSuffix(path, suffix) {
				rel, err := filepath.Rel(root, path)
				files = append(files, filepath.ToSlash(rel))
				return err
			}
		}
		return nil
	})
	if err != nil {
		tb.Fatal(err)
	}
	return files
}
