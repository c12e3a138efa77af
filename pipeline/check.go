package pipeline

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"boutwise/pipeline/practice"
	"boutwise/pipeline/store"
)

// Fault is one thing that is not as it should be.
type Fault struct {
	Path   string // relative to the practice
	What   string
	Remedy string
}

// String is one line: which file, what is wrong, what to do.
func (f Fault) String() string { return f.Path + ": " + f.What + "; " + f.Remedy }

// Check verifies configuration, inbox, store and output against each other
// and repairs nothing. A wrong configuration is the error.
func Check(ctx context.Context, dir string) ([]Fault, error) {
	if _, err := practice.Load(dir); err != nil {
		return nil, err
	}
	return lookInto(dir, func(*store.Store, []Fault) error { return nil })
}

// lookInto opens the store, finds what is wrong, and hands it to f. Damaged
// records are a fault, and f is not called.
func lookInto(dir string, f func(*store.Store, []Fault) error) ([]Fault, error) {
	st, err := store.Open(filepath.Join(dir, "store"))
	if err == nil {
		var faults []Fault
		if faults, err = findFaults(st, dir); err == nil {
			err = f(st, faults)
		}
		if err = errors.Join(err, st.Close()); err == nil {
			return faults, nil
		}
	}
	if errors.Is(err, store.ErrDamaged) {
		return []Fault{damagedRecords}, nil
	}
	return nil, err
}

// damagedRecords is the fault of a store whose records cannot be read.
var damagedRecords = Fault{"store/state.db", "the records are damaged", "check --repair sets them aside and reads all exports anew"}

// Repair makes good what [Check] would name: published files that differ are
// written anew, lost traces are read again from their exports, and damaged
// records are set aside: what they told of exports that are gone is then lost.
func Repair(ctx context.Context, o Options) ([]Fault, error) {
	if _, err := practice.Load(o.Dir); err != nil {
		return nil, err
	}
	faults, err := lookInto(o.Dir, func(st *store.Store, faults []Fault) error {
		return st.Update(func(tx *store.Tx) error { return disown(tx, faults) })
	})
	if err == nil && slices.Contains(faults, damagedRecords) {
		err = store.SetAside(filepath.Join(o.Dir, "store"))
	}
	if err != nil {
		return faults, err
	}
	_, err = Run(ctx, o)
	return faults, err
}

// disown forgets what is known of faulty files, so that the next run makes
// them anew.
func disown(tx *store.Tx, faults []Fault) error {
	for _, f := range faults {
		if err := store.Delete(tx, store.Outputs, filepath.FromSlash(f.Path)); err != nil {
			return err
		}
		if page, isPage := strings.CutPrefix(f.Path, "out/review/sessions/"); isPage {
			// Pages are looked at only when the client's exports are.
			if err := markStale(tx, clientOf(page)); err != nil {
				return err
			}
		}
		if client := clientOfSamples(filepath.FromSlash(f.Path)); client != "" { // likewise
			if err := markStale(tx, client); err != nil {
				return err
			}
		}
		if path, isExport := strings.CutPrefix(f.Path, "inbox/"); isExport {
			if err := deleteExport(tx, path); err != nil {
				return err
			}
			if err := markStale(tx, clientOf(path)); err != nil {
				return err
			}
		}
	}
	return nil
}

func findFaults(st *store.Store, dir string) (faults []Fault, err error) {
	files, err := scan(filepath.Join(dir, "inbox"))
	if err != nil {
		return nil, err
	}
	err = st.View(func(tx *store.Tx) error {
		exports, err := exportFaults(tx, st, files)
		if err != nil {
			return err
		}
		uncounted, err := countFaults(tx)
		if err != nil {
			return err
		}
		outputs, err := outputFaults(tx, dir)
		faults = slices.Concat(exports, uncounted, outputs)
		return err
	})
	return faults, err
}

// exportFaults compares the inbox with what is known, and every trace with
// its checksum.
func exportFaults(tx *store.Tx, st *store.Store, files []found) ([]Fault, error) {
	var faults []Fault
	present := map[string]bool{}
	for _, f := range files {
		present[f.path] = true
		if _, known, err := store.Get[exportRecord](tx, store.Exports, f.path); err != nil {
			return nil, err
		} else if !known {
			faults = append(faults, Fault{"inbox/" + f.path, "not read yet", "the next run reads it"})
		}
	}
	err := store.Each(tx, store.Exports, "", func(path string, rec exportRecord) error {
		lost := slices.ContainsFunc(rec.Members, func(m memberRecord) bool {
			return slices.ContainsFunc(m.Legs, func(l legRecord) bool {
				_, err := st.ReadTrace(clientOf(path), l.TraceKey, l.TraceSum)
				return err != nil
			})
		})
		switch {
		case lost && present[path]:
			faults = append(faults, Fault{"inbox/" + path, "its trace in the store is lost or damaged", "check --repair reads it again"})
		case lost:
			faults = append(faults, Fault{"inbox/" + path, "gone from the inbox, and its trace in the store is lost or damaged", "put the export back"})
		case !present[path]:
			faults = append(faults, Fault{"inbox/" + path, "gone from the inbox; what it told is kept", "put it back, or leave it"})
		}
		return nil
	})
	return faults, err
}

// countFaults names the sessions of which a part of what was measured is lost.
func countFaults(tx *store.Tx) (faults []Fault, err error) {
	keys, err := uncounted(tx)
	for _, key := range keys {
		faults = append(faults, Fault{damagedRecords.Path, "half of what was measured of session " + key + " is missing", "the next run measures it anew"})
	}
	return faults, err
}

// outputFaults compares every published file with what was written.
func outputFaults(tx *store.Tx, dir string) ([]Fault, error) {
	outputs, err := outputsOf(tx)
	if err != nil {
		return nil, err
	}
	var faults []Fault
	for path, rec := range outputs {
		data, err := os.ReadFile(filepath.Join(dir, path))
		sum := sha256.Sum256(data)
		differs := hex.EncodeToString(sum[:]) != rec.SHA256
		switch {
		case err != nil:
			faults = append(faults, Fault{filepath.ToSlash(path), fmt.Sprint("missing: ", unreadable(err)), "check --repair writes it anew"})
		case differs:
			faults = append(faults, Fault{filepath.ToSlash(path), "not as it was written", "check --repair writes it anew"})
		}
	}
	strays, err := strayFaults(dir, outputs)
	faults = append(faults, strays...)
	slices.SortFunc(faults, func(a, b Fault) int { return strings.Compare(a.Path, b.Path) })
	return faults, err
}

// strayFaults names the files among the tables that the program did not write:
// whoever reads a table as a folder takes them for rows of it.
func strayFaults(dir string, outputs map[string]outputRecord) (faults []Fault, err error) {
	for _, root := range []string{"parquet", "csv"} {
		err := filepath.WalkDir(filepath.Join(dir, "out", root), func(path string, d fs.DirEntry, err error) error {
			if errors.Is(err, fs.ErrNotExist) {
				return nil
			}
			if err != nil || d.IsDir() {
				return err
			}
			rel, err := filepath.Rel(dir, path)
			if _, known := outputs[rel]; !known {
				faults = append(faults, Fault{filepath.ToSlash(rel), "not written by the program, yet read with the table", "move it out of out/"})
			}
			return err
		})
		if err != nil {
			return nil, fmt.Errorf("output: %w", err)
		}
	}
	return faults, nil
}
