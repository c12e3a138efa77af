package pipeline

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"boutwise/pipeline/store"
)

// Whatever is left of a client is found, in a name, a text, a record, or the
// bytes of a table; two letters that come up by chance in a table are not.
func TestProofFindsWhatIsLeft(t *testing.T) {
	tests := []struct {
		name, client, path, content, want string
	}{
		{"nothing", "c1", "out/csv/a.csv", "c10,c1-b,xc1\n", ""},
		{"id in a text", "c1", "out/csv/a.csv", "x,c1,y\n", "out/csv/a.csv"},
		{"name in a page", "c1", "out/review/index.html", "<td>A. Example</td>", "out/review/index.html"},
		{"a file of its own", "c1", "out/parquet/samples/client-c1-20260610T0700Z-2.parquet", "", "client-c1-"},
		{"a neighbour's file", "c1", "out/parquet/samples/client-c1-b-20260610T0700Z.parquet", "", ""},
		{"its folder", "c1", "store/traces/c1/x.parquet", "", "store/traces/c1"},
		{"chance", "c1", "out/parquet/sessions/client-c2.parquet", "\x00c1\x00", ""},
		{"a longer id in a table", "annex-7", "out/parquet/sessions/client-c2.parquet", "\x00annex-7\x00", "client-c2.parquet"},
		{"in a record", "c1", "", "c1", "the store's outputs"},
		{"a record of another", "c1", "", "c1-b", ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			dir := t.TempDir()
			st, err := store.Open(filepath.Join(dir, "store"))
			must(t, err)
			defer st.Close()
			if tt.path != "" {
				path := filepath.Join(dir, filepath.FromSlash(tt.path))
				must(t, os.MkdirAll(filepath.Dir(path), 0o700))
				must(t, os.WriteFile(path, []byte(tt.content), 0o600))
			} else {
				must(t, st.Update(func(tx *store.Tx) error { return store.Put(tx, store.Outputs, "x", tt.content) }))
			}
			err = proveForgotten(st, dir, tt.client, "A. Example")
			if (err == nil) != (tt.want == "") || err != nil && !strings.Contains(err.Error(), tt.want) {
				t.Errorf("got %v, want %q", err, tt.want)
			}
		})
	}
}
