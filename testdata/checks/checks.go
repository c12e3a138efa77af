// Package checks compares the program's figures with figures from outside:
// published examples, certified data sets, other libraries. It is for tests.
//
// A check asserts, as any test does. When the environment variable
// BOUTWISE_CHECKS names a directory, it also leaves a line of JSON there, in
// one file for each package's tests, so that a list of all outside checks can
// be generated rather than written by hand:
//
//	BOUTWISE_CHECKS=/tmp/checks go test -count=1 ./...
//
// (-count=1, because a test result out of the cache writes nothing.)
package checks

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"runtime/debug"
	"strconv"
	"strings"
	"sync"
	"testing"
)

// Class says how far the outside figure can be trusted.
type Class string

// The classes of source.
const (
	Published        Class = "published"         // stated in the publication named, or by its formula
	OpenData         Class = "open data"         // a public data set
	ReferenceLibrary Class = "reference library" // what a general library computes
	CommonPractice   Class = "common practice"   // a fact of the trade without a source
	FromMemory       Class = "from memory"       // the publication was not opened
)

// Check is one comparison with the outside.
type Check struct {
	ID     string // short and unique, such as "acsm-walk-level"
	What   string // what is compared, with its unit
	Source string // who says so
	Class  Class
	Want   float64 // their figure

	// Tol is the largest difference allowed: absolute, or as a share of Want
	// when Relative.
	Tol      float64
	Relative bool
}

// Near fails the test unless got is within the tolerance of the outside
// figure, and records the check either way. NaN is near nothing.
func Near(t testing.TB, c Check, got float64) {
	t.Helper()
	allowed := c.Tol
	if c.Relative {
		allowed *= math.Abs(c.Want)
	}
	if !(math.Abs(got-c.Want) <= allowed) {
		t.Errorf("%s: %s is %v; %s has %v, tolerance %s", c.ID, c.What, got, c.Source, c.Want, c.tolerance())
	}
	if directory := os.Getenv("BOUTWISE_CHECKS"); directory != "" {
		if err := record(directory, t.Name(), c, got); err != nil {
			t.Errorf("%s: recording the check: %v", c.ID, err)
		}
	}
}

// tolerance is the tolerance as a reader wants it.
func (c Check) tolerance() string {
	text := strconv.FormatFloat(c.Tol, 'g', -1, 64)
	if c.Relative {
		text += " relative"
	}
	return text
}

// line is a check as it is recorded. Figures are text in the shortest form
// that reads back exactly: JSON has no NaN.
type line struct {
	ID        string `json:"id"`
	What      string `json:"what"`
	Source    string `json:"source"`
	Class     Class  `json:"class"`
	Ours      string `json:"ours"`
	Theirs    string `json:"theirs"`
	Tolerance string `json:"tolerance"`
	Test      string `json:"test"`
}

// output is the file of this test binary, begun anew by its first check.
var output struct {
	sync.Mutex
	file *os.File
}

// record appends a check to this test binary's file.
func record(directory, test string, c Check, got float64) error {
	encoded, err := json.Marshal(line{
		ID: c.ID, What: c.What, Source: c.Source, Class: c.Class,
		Ours:      strconv.FormatFloat(got, 'g', -1, 64),
		Theirs:    strconv.FormatFloat(c.Want, 'g', -1, 64),
		Tolerance: c.tolerance(),
		Test:      testedPackage() + " " + test,
	})
	if err != nil {
		return err
	}
	output.Lock()
	defer output.Unlock()
	if output.file == nil {
		name := strings.ReplaceAll(testedPackage(), "/", "_") + ".jsonl"
		if output.file, err = os.Create(filepath.Join(directory, name)); err != nil {
			return err
		}
	}
	_, err = fmt.Fprintf(output.file, "%s\n", encoded)
	return err
}

// testedPackage is the import path of the package under test, which the test
// binary is named after.
func testedPackage() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return "unknown"
	}
	return strings.TrimSuffix(info.Path, ".test")
}
