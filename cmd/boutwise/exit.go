package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"boutwise/pipeline"
	"boutwise/pipeline/demo"
	"boutwise/pipeline/practice"
)

// The exit codes.
const (
	exitDone    = 0
	exitFailed  = 1
	exitUsage   = 2 // wrong usage or configuration; nothing was written
	exitRefused = 3 // with --strict: an export stands refused
)

// Every command's help ends with its exit codes.
const (
	exitHelp = "Exit codes: 0 done, 1 failed, 2 wrong usage or configuration and nothing was written, " +
		"3 with run --strict when an export stands refused."
	plainExitHelp  = "Exit codes: 0 done, 1 failed, 2 wrong usage or configuration and nothing was written."
	strictExitHelp = "Exit codes: 0 done, 1 failed, 2 wrong usage or configuration and nothing was written, " +
		"3 with --strict when an export stands refused, from this run or an earlier one; all else is done."
)

// usageError is a call that cannot be meant.
type usageError string

func (e usageError) Error() string { return string(e) }

func usagef(format string, args ...any) error { return usageError(fmt.Sprintf(format, args...)) }

// refusedError tells a strict run how many exports stand refused.
type refusedError int

func (e refusedError) Error() string {
	return fmt.Sprintf("%s refused; the summary and the files table say why; take them out of the inbox or mend them",
		plural(int(e), "export stands", "exports stand"))
}

// exitCode reports an error, one line a problem, and gives its code.
func exitCode(err error, stderr io.Writer) int {
	if err == nil {
		return exitDone
	}
	if errors.Is(err, context.Canceled) {
		err = errors.New("stopped before the end; what was done is kept, and the next run does the rest")
	}
	for _, line := range strings.Split(strings.TrimRight(err.Error(), "\n"), "\n") {
		fmt.Fprintln(stderr, "boutwise:", clean(line))
	}
	var (
		usage    usageError
		problems practice.Problems
		refused  refusedError
	)
	switch {
	case errors.As(err, &usage), errors.As(err, &problems),
		errors.Is(err, demo.ErrOccupied), errors.Is(err, pipeline.ErrUnknownClient):
		return exitUsage
	case errors.As(err, &refused):
		return exitRefused
	}
	return exitFailed
}

// needPractice tells a practice from a folder that was named by mistake,
// before anything is written into it.
func needPractice(dir string) error {
	info, err := os.Stat(dir)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return usagef("%s: no such folder; give the practice's folder, or make one with boutwise init %s", dir, dir)
	case err != nil:
		return usagef("%v; give the practice's folder", err)
	case !info.IsDir():
		return usagef("%s: a file; give the practice's folder, which holds inbox/", dir)
	}
	for _, name := range []string{"inbox", "practice.toml"} {
		if _, err := os.Stat(filepath.Join(dir, name)); err == nil {
			return nil
		}
	}
	return usagef("%s: not a practice, for it holds neither inbox/ nor practice.toml; boutwise init %s makes one of it", dir, dir)
}

// needFile tells an export from a slip of the keyboard.
func needFile(path string) error {
	info, err := os.Stat(path)
	switch {
	case errors.Is(err, os.ErrNotExist):
		return usagef("%s: no such file; give an export: FIT, GPX or TCX", path)
	case err != nil:
		return usagef("%v; give an export: FIT, GPX or TCX", err)
	case info.IsDir():
		return usagef("%s: a folder; give the files in it, for example %s", path, filepath.Join(path, "*.fit"))
	}
	return nil
}
