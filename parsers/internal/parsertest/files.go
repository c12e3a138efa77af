// Package parsertest is what the parsers' tests share: the real device files
// that come with the decoders' modules, and what every recording promises. The
// files are read where the module cache has them and never copied, so they keep
// their own licences.
package parsertest

import (
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
)

// The modules that bring files.
const (
	Tormoder  = "github.com/tormoder/fit"
	Muktihari = "github.com/muktihari/fit"
	GPXGo     = "github.com/tkrajina/gpxgo"
)

// dirs remembers where modules lie.
var dirs sync.Map

// Dir is a module's folder in the cache.
func Dir(tb testing.TB, module string) string {
	tb.Helper()
	if dir, ok := dirs.Load(module); ok {
		return dir.(string)
	}
	out, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", module).Output()
	dir := strings.TrimSpace(string(out))
	if err != nil || dir == "" {
		tb.Fatalf("module %s is not in the cache: run go mod download (%v)", module, err)
	}
	dirs.Store(module, dir)
	return dir
}

// Read gives one file of a module.
func Read(tb testing.TB, module, path string) []byte {
	tb.Helper()
	data, err := os.ReadFile(filepath.Join(Dir(tb, module), path))
	if err != nil {
		tb.Fatal(err)
	}
	return data
}

// Files lists the files of a module under a folder whose names end in one of
// the suffixes, in lexical order, relative to the module.
func Files(tb testing.TB, module, under string, suffixes ...string) (files []string) {
	tb.Helper()
	root := Dir(tb, module)
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
