// Package demo invents a practice: eight clients, twelve weeks, from base to
// bursts to intervals, each with a story of its own. It simulates what every
// client does and how heart rate answers, second by second, and writes it as
// the FIT, GPX and TCX exports that devices write, some gzipped, some zipped,
// with a duplicate, a broken one and two hopeless ones among them.
//
// A practice comes about in these steps:
//
//  1. the cast (cast.go, tales.go): who the clients are, what the coach
//     prescribes and what goes wrong, as tables of weeks;
//  2. the programme (programme.go): the sessions that follow from them, each
//     with its start;
//  3. the plan of a session (plan.go): effort second by second, as a fraction
//     of what the client can take up in oxygen;
//  4. body and machine (body.go, machine.go, route.go): effort into power,
//     speed or grade, and into heart rate;
//  5. the device (device.go, then fit.go, gpx.go, tcx.go): what is written
//     down of it;
//  6. the inbox (inbox.go) and the coach's own files (config.go).
//
// Everything is drawn from seeded generators: the same options give the same
// bytes. What the simulation knows comes back as [Truth], so that tests can
// hold the program's figures against it.
package demo

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"time"
	_ "time/tzdata" // the demonstration must not depend on the host's zones

	"golang.org/x/sync/errgroup"

	"boutwise/pipeline/practice"
)

// Weeks is the length of the demonstration.
const Weeks = 12

// zoneName is the practice's time zone. It lies so far from UTC that morning
// sessions on a Monday still fall on the Sunday before in UTC, and its clocks
// change within the first week.
const zoneName = "Pacific/Auckland"

// defaultLastMonday begins the last week where the options name none:
// ISO week 25 of 2026.
var defaultLastMonday = practice.DateOf(time.Date(2026, time.June, 15, 0, 0, 0, 0, time.UTC))

// ErrOccupied is returned by [Write] for a folder that holds something other
// than the same demonstration.
var ErrOccupied = errors.New("folder is in use")

// Options chooses what is invented. The zero value is the demonstration that
// the README shows.
type Options struct {
	// LastMonday begins the last of the twelve weeks. The zero Date stands
	// for 2026-06-15; any other day but a Monday is an error.
	LastMonday practice.Date

	// Seed varies the noise, not the stories.
	Seed uint64
}

// Write invents the practice and writes it below dir, which it creates. It
// refuses with [ErrOccupied] a folder that holds anything but this same
// demonstration, and leaves the program's own store and output there alone.
func Write(dir string, o Options) (*Truth, error) {
	cal, err := newCalendar(o.LastMonday)
	if err != nil {
		return nil, err
	}
	people := cast()
	config := configFiles(people, cal, o.Seed)
	if err := vacant(dir, config); err != nil {
		return nil, err
	}
	if err := writeFiles(dir, config); err != nil {
		return nil, err
	}

	// Each client has a slot of its own, so that the order in which they are
	// finished shows nowhere.
	invented := make([]work, len(people))
	var group errgroup.Group
	group.SetLimit(runtime.GOMAXPROCS(0))
	for i, c := range people {
		group.Go(func() error {
			w, err := invent(c, cal, o.Seed, uint64(i))
			if err != nil {
				return fmt.Errorf("client %s: %w", c.who.ID, err)
			}
			invented[i] = w
			return writeFiles(filepath.Join(dir, "inbox"), w.files)
		})
	}
	if err := group.Wait(); err != nil {
		return nil, err
	}
	return gather(people, invented, cal), nil
}

// file is one file to be written: a slash-separated path and its bytes.
type file struct {
	path string
	data []byte
}

// vacant refuses a folder that is not empty and does not hold this very
// demonstration's configuration: another one's exports would mix with ours,
// and what a person has edited is not ours to overwrite.
func vacant(dir string, config []file) error {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	if len(entries) == 0 {
		return nil
	}
	for _, f := range config {
		there, err := os.ReadFile(filepath.Join(dir, f.path))
		if err != nil || !bytes.Equal(there, f.data) {
			return fmt.Errorf("%s: %w: its %s is not that of this demonstration; name an empty folder", dir, ErrOccupied, f.path)
		}
	}
	return nil
}

// settled is the age that all files are given: long before the demonstration
// and any run on it, as a damaged export that has only just appeared may be
// taken for one that is still on its way.
var settled = time.Date(2026, time.January, 1, 0, 0, 0, 0, time.UTC)

// writeFiles writes the files below dir.
func writeFiles(dir string, files []file) error {
	for _, f := range files {
		path := filepath.Join(dir, filepath.FromSlash(f.path))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(path, f.data, 0o644); err != nil {
			return err
		}
		if err := os.Chtimes(path, settled, settled); err != nil {
			return err
		}
	}
	return nil
}
