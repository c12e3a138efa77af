package checks

import (
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"testing"
)

// failures is a testing.TB that remembers whether it failed.
type failures struct {
	testing.TB
	failed bool
}

func (f *failures) Errorf(string, ...any) { f.failed = true }

func TestNear(t *testing.T) {
	tests := []struct {
		name  string
		check Check
		got   float64
		fails bool
	}{
		{"equal", Check{Want: 2}, 2, false},
		{"at the tolerance", Check{Want: 2, Tol: 0.5}, 2.5, false},
		{"beyond it", Check{Want: 2, Tol: 0.5}, 2.75, true},
		{"relative", Check{Want: -200, Tol: 0.01, Relative: true}, -198, false},
		{"relative, beyond", Check{Want: -200, Tol: 0.01, Relative: true}, -197, true},
		{"NaN is near nothing", Check{Want: 2, Tol: 1e9}, math.NaN(), true},
	}
	t.Setenv("BOUTWISE_CHECKS", "")
	for _, test := range tests {
		tb := &failures{TB: t}
		Near(tb, test.check, test.got)
		if tb.failed != test.fails {
			t.Errorf("%s: failed %v, want %v", test.name, tb.failed, test.fails)
		}
	}
}

func TestRecord(t *testing.T) {
	directory := t.TempDir()
	t.Setenv("BOUTWISE_CHECKS", directory)
	Near(t, Check{ID: "a", What: "w", Source: "s", Class: Published, Want: 0.1, Tol: 1e-9, Relative: true}, 0.1)
	t.Cleanup(func() { output.file.Close(); output.file = nil })

	data, err := os.ReadFile(filepath.Join(directory, "boutwise_testdata_checks.jsonl"))
	if err != nil {
		t.Fatal(err)
	}
	var got line
	if err := json.Unmarshal(data, &got); err != nil {
		t.Fatal(err)
	}
	want := line{"a", "w", "s", Published, "0.1", "0.1", "1e-09 relative", "boutwise/testdata/checks TestRecord"}
	if got != want {
		t.Errorf("recorded %+v, want %+v", got, want)
	}
}
