package main

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"boutwise/pipeline/demo"
)

var update = flag.Bool("update", false, "write what the commands print into the README")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){
		"boutwise": func() { os.Exit(run(context.Background(), os.Args[1:], os.Stdout, os.Stderr)) },
	})
}

// The scripts are named for the verb and what they protect.
func TestScripts(t *testing.T) {
	// The exports of the demonstration are in $DEMO, to be read or copied.
	exports := filepath.Join(t.TempDir(), "demo")
	if _, err := demo.Write(exports, demo.Options{}); err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir: "testdata",
		Setup: func(env *testscript.Env) error {
			env.Setenv("DEMO", exports)
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){"exits": exits},
	})
}

// exits runs a command that must end with a code: exits 2 boutwise walk.
func exits(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: exits CODE COMMAND [ARGUMENT...]")
	}
	code := 0
	err := ts.Exec(args[1], args[2:]...)
	var exit *exec.ExitError
	switch {
	case errors.As(err, &exit):
		code = exit.ExitCode()
	case err != nil:
		ts.Fatalf("%v", err)
	}
	if fmt.Sprint(code) != args[0] {
		ts.Fatalf("%v ended with code %d, not %s", args[1:], code, args[0])
	}
}

// The README shows what its first command really prints, and what inspect
// prints for the export that it proposes.
func TestReadmeShowsWhatIsPrinted(t *testing.T) {
	for name, value := range map[string]string{"LC_ALL": "C.UTF-8", "COLUMNS": "", "LINES": ""} {
		t.Setenv(name, value)
	}
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
