package pipeline

import (
	"errors"
	"fmt"
	"path/filepath"

	"boutwise/pipeline/durable"
	"boutwise/pipeline/store"
)

// underWay is the key of the mark that stands in [store.Clients] while a run
// changes the output.
const underWay = "under way"

// begin marks that a run is under way. Where the mark stands already, the last
// one was cut short: files that it wrote, deleted or left half done without
// noting it are forgotten, however much the configuration changed since.
func begin(st *store.Store, dir string) (cut bool, err error) {
	err = st.Update(func(tx *store.Tx) (err error) {
		if _, cut, err = store.Get[bool](tx, store.Clients, underWay); err == nil && cut {
			err = doubt(tx, dir)
		}
		return errors.Join(err, mend(tx), store.Put(tx, store.Clients, underWay, true))
	})
	return cut, err
}

// end brings onto the disk what was drawn, and takes the mark away. Where the
// disk fails, the system may from then on hold for written what is not: what
// was drawn is forgotten, so that the next run draws it anew.
func end(st *store.Store, dir string, drawn map[string]bool, cut bool) error {
	if len(drawn) > 0 || cut {
		out := filepath.Join(dir, "out")
		if err := durable.Settle(filepath.Join(out, "review"), filepath.Join(out, "parquet")); err != nil {
			// A full disk has no room for this either: the mark stays, and says most.
			_ = st.Update(func(tx *store.Tx) error { return disown(tx, faultsOf(drawn)) })
			return fmt.Errorf("output: %w", err)
		}
	}
	return st.Update(func(tx *store.Tx) error { return store.Delete(tx, store.Clients, underWay) })
}

// faultsOf takes every one of the published files for faulty.
func faultsOf(files map[string]bool) (faults []Fault) {
	for path := range files {
		faults = append(faults, Fault{Path: filepath.ToSlash(path)})
	}
	return faults
}

// doubt disowns every published file that is not as its record says, and
// deletes samples that have none.
func doubt(tx *store.Tx, dir string) error {
	faults, err := outputFaults(tx, dir)
	if err != nil {
		return err
	}
	outputs, err := outputsOf(tx)
	for _, f := range faults {
		path := filepath.FromSlash(f.Path)
		if _, known := outputs[path]; err == nil && !known && clientOfSamples(path) != "" {
			err = durable.Delete(filepath.Join(dir, path))
		}
	}
	return errors.Join(err, disown(tx, faults))
}

// mend forgets sessions of which half is lost, so that they are measured anew.
func mend(tx *store.Tx) error {
	keys, err := uncounted(tx)
	for _, key := range keys {
		err = errors.Join(err, store.Delete(tx, store.Measured, key), markStale(tx, clientOf(key)))
	}
	return err
}
