package practice

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"time"
)

// Practice is a practice folder's configuration, checked. It never changes
// after loading and may be shared.
type Practice struct {
	Dir      string
	Settings Settings

	Clients       []Client       // in the order of clients.csv
	Measurements  []Measurement  // by client, quantity, date
	Bands         []Band         // by client, signal, date, lower edge
	Prescriptions []Prescription // by client, session, date

	histories map[string]*history // by client id, everyClient for '*'
}

// Load reads the configuration in dir. Every file is optional: with none, all
// settings have their defaults and nothing is known of any client. The error
// is a [Problems] with everything that is wrong, or tells that the folder
// cannot be read.
func Load(dir string) (*Practice, error) {
	return loadAsOf(dir, DateOf(time.Now()))
}

// writtenIn is a day before which no clock that is right can stand. A
// computer that lost its clock must not take every date for a slip.
var writtenIn = DateOf(time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC))

// loadAsOf is Load on the day given, by which dates far ahead are told.
func loadAsOf(dir string, today Date) (*Practice, error) {
	info, err := os.Stat(dir)
	if err != nil {
		return nil, fmt.Errorf("practice folder %s: %w; boutwise init makes one", dir, err)
	}
	if !info.IsDir() {
		return nil, fmt.Errorf("practice folder %s: not a folder; give the folder that holds inbox/", dir)
	}
	l := &loader{
		open:  func(file string) ([]byte, error) { return readText(filepath.Join(dir, file)) },
		today: max(today, writtenIn),
		p:     &Practice{Dir: dir},
		known: inboxFolders(dir),
	}
	l.readSettings()
	l.readSheets()
	if len(l.problems) > 0 {
		return nil, l.problems.sorted()
	}
	l.p.histories = l.p.buildHistories()
	return l.p, nil
}

// loader collects a practice and everything that is wrong with it.
type loader struct {
	open     func(file string) ([]byte, error) // text of a file of the folder
	today    Date
	p        *Practice
	known    map[string]bool // clients listed or with a folder in the inbox; nil where that cannot be told
	problems Problems
}

// report notes a problem.
func (l *loader) report(p Problem) { l.problems = append(l.problems, p) }

// readSheets reads the CSV files. The clients come first: the others name
// them.
func (l *loader) readSheets() {
	l.readClients()
	l.readMeasurements()
	l.readBands()
	l.readPrescriptions()
}

// inboxFolders notes the clients that have a folder in the inbox. A missing
// inbox is no fault here: there may be no export yet.
func inboxFolders(dir string) map[string]bool {
	known := map[string]bool{}
	entries, err := os.ReadDir(filepath.Join(dir, "inbox"))
	if err != nil {
		return known
	}
	for _, e := range entries {
		if e.IsDir() {
			known[e.Name()] = true
		}
	}
	return known
}

// knownIDs lists the clients known, sorted.
func (l *loader) knownIDs() []string { return slices.Sorted(maps.Keys(l.known)) }
