package main

import (
	"bytes"
	"context"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

var update = flag.Bool("update", false, "write what the commands print into the README")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"boutwise": func() { os.Exit(run(context.Background(), os.Args[1:], os.Stdout, os.Stderr)) },
	})
}

// The scripts are named for the verb and what they protect.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{Dir: "testdata"})
}

// The README shows what its first command really prints, and what inspect
// prints for the export that it proposes.
func TestReadmeShowsWhatIsPrinted(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "demo")
	shown := printed(t, dir, "demo", dir)
	at := strings.Index(shown, "boutwise inspect ")
	if at < 0 {
		t.Fatal("the demonstration proposes no export")
	}
	export := strings.TrimSpace(shown[at+len("boutwise inspect "):])
	inspected := printed(t, dir, "inspect", strings.Replace(export, "demo", dir, 1))

	const path = "../../README.md"
	readme, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	want := replaceBlock(t, string(readme), "demo", shown)
	want = replaceBlock(t, want, "inspect", inspected)
	if *update {
		if err := os.WriteFile(path, []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	if want != string(readme) {
		t.Error("README.md shows something else than is printed; go test ./cmd/boutwise -update writes it")
	}
}

// printed runs a command and gives what it prints, with the practice's folder
// named demo.
func printed(t *testing.T, dir string, args ...string) string {
	t.Helper()
	var out, complaints bytes.Buffer
	if code := run(context.Background(), args, &out, &complaints); code != 0 {
		t.Fatalf("boutwise %v: code %d: %s", args, code, &complaints)
	}
	return strings.ReplaceAll(out.String(), dir, "demo")
}

// replaceBlock puts text into the code block behind the marker of a name.
func replaceBlock(t *testing.T, doc, name, text string) string {
	t.Helper()
	marker := "<!-- printed: " + name + " -->\n```\n"
	head, rest, found := strings.Cut(doc, marker)
	_, tail, closed := strings.Cut(rest, "```\n")
	if !found || !closed {
		t.Fatalf("README.md has no block %q", marker)
	}
	return head + marker + strings.TrimLeft(text, "\n") + "```\n" + tail
}
