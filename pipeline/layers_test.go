package pipeline_test

import (
	"os/exec"
	"strings"
	"testing"
)

// forbidden says which packages must not import which, and why. A prefix
// ending in / stands for everything below.
var forbidden = []struct{ from, imports, why string }{
	{"boutwise/metrics", "boutwise/parsers", "metrics measure columns, whoever read them"},
	{"boutwise/metrics", "boutwise/pipeline", "imports run downwards: pipeline uses metrics"},
	{"boutwise/metrics", "os", "metrics are pure: no files"},
	{"boutwise/metrics", "log", "metrics are pure: they print nothing"},
	{"boutwise/metrics/bouts", "boutwise/metrics/synthetic", "the finder must not know what it is tested with"},
	{"boutwise/parsers", "boutwise/metrics", "parsers know nothing of what is measured"},
	{"boutwise/parsers", "boutwise/pipeline", "imports run downwards: pipeline uses parsers"},
	{"boutwise/pipeline", "boutwise/cmd", "imports run downwards: cmd uses pipeline"},
	{"boutwise/pipeline/store", "boutwise/pipeline/practice", "the store does not know what its records mean"},
	{"boutwise/pipeline/store", "boutwise/pipeline/tables", "the store does not know what its records mean"},
	{"boutwise/pipeline/tables", "boutwise/metrics", "tables are rows, not what they are computed from"},
	{"boutwise/pipeline/coach", "boutwise/pipeline/store", "the coach's rules are pure: rows in, rows out"},
	{"boutwise/pipeline/coach", "os", "the coach's rules are pure: rows in, rows out"},
	{"boutwise/pipeline/coach", "boutwise/parsers", "the coach's rules know sessions, not exports"},
}

func TestImportsRunDownwards(t *testing.T) {
	out, err := exec.Command("go", "list", "-f", `{{.ImportPath}}:{{join .Imports " "}}`, "boutwise/...").Output()
	if err != nil {
		t.Fatal(err)
	}
	below := func(path, root string) bool { return path == root || strings.HasPrefix(path, root+"/") }
	packages := 0
	for _, line := range strings.Split(strings.TrimSpace(string(out)), "\n") {
		from, imports, _ := strings.Cut(line, ":")
		packages++
		for _, imported := range strings.Fields(imports) {
			for _, rule := range forbidden {
				if below(from, rule.from) && below(imported, rule.imports) {
					t.Errorf("%s imports %s: %s", from, imported, rule.why)
				}
			}
		}
	}
	if packages < 15 {
		t.Errorf("only %d packages listed", packages)
	}
}
