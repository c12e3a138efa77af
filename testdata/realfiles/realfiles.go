// Package realfiles finds the recordings of real devices that come with the
// file libraries' modules, for tests. They are read where the module cache has
// them and never copied, so they keep their own licences.
package realfiles

import (
	"os/exec"
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
