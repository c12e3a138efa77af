package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"boutwise/pipeline/durable"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/review"
	"boutwise/pipeline/store"
	"boutwise/pipeline/tables"
)

// ErrUnknownClient tells that nothing is known of a client.
var ErrUnknownClient = errors.New("nothing is known of this client")

// Forget removes everything derived from a client from store and output, and
// looks through both to prove it. Exports and configuration are left alone:
// while the client's folder stays in the inbox, the next run reads it again.
func Forget(ctx context.Context, o Options, client string) (err error) {
	dir := o.Dir
	p, err := practice.Load(dir)
	if err != nil {
		return err
	}
	o = o.withDefaults(p)
	st, err := store.Open(filepath.Join(dir, "store"))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	clients, err := clientsOf(st)
	if err != nil {
		return err
	}
	cut, err := begin(st, dir)
	if err = errors.Join(err, sweep(dir)); err != nil {
		return err
	}
	unknown := client == "" || !slices.Contains(clients, client)
	if !unknown {
		if err := remove(st, dir, client); err != nil {
			return err
		}
	}
	// Also for a client of whom there is no record: forgetting that was cut
	// short may have gone so far and no further.
	if err := withoutClient(ctx, st, p, o, client, cut); err != nil {
		return err
	}
	if unknown {
		return fmt.Errorf("%s: %w; the folders of the inbox are the clients' names", client, ErrUnknownClient)
	}
	return proveForgotten(st, dir, client, p.Client(client).Name)
}

// withoutClient brings the output of all other clients up to date, for some may
// name the one who is gone, and leaves nothing of what was deleted in the
// records' file.
func withoutClient(ctx context.Context, st *store.Store, p *practice.Practice, o Options, client string, cut bool) error {
	clients, err := clientsOf(st)
	if err != nil {
		return err
	}
	clients = slices.DeleteFunc(withListed(clients, p), func(c string) bool { return c == client })
	r := &refresher{store: st, practice: p, asOf: o.AsOf, workers: o.Workers, progress: o.Progress, written: map[string]bool{}}
	if _, err := r.refresh(ctx, clients); err != nil {
		return err
	}
	if len(r.stale) > 0 {
		return fmt.Errorf("store: %d traces are lost; run boutwise check --repair, then forget again", len(r.stale))
	}
	// The database keeps deleted pages until they are needed again.
	return errors.Join(end(st, o.Dir, r.written, cut), st.Compact())
}

// remove removes a client's output, traces and, at last, the records by which
// it is known.
func remove(st *store.Store, dir, client string) error {
	if err := removeOutput(dir, client); err != nil {
		return err
	}
	if client != "" { // what lies in no client's folder has no traces
		if err := st.RemoveClient(client); err != nil {
			return err
		}
	}
	return forgetRecords(st, client)
}

// withdrawGone removes what there is of clients who have no export any more
// (all of theirs were moved to other clients, or their folder has another name)
// and puts new ones on record. Records go last, so that a removal that was cut
// short is done again.
func withdrawGone(st *store.Store, dir string, clients []string) error {
	gone := map[string]bool{}
	err := st.View(func(tx *store.Tx) error {
		return store.EachKey(tx, store.Clients, "", func(key string) {
			if client, ok := strings.CutPrefix(key, clientKey("")); ok {
				gone[client] = true
			}
		})
	})
	var fresh []string
	for _, client := range clients {
		if !gone[client] {
			fresh = append(fresh, client)
		}
		delete(gone, client)
	}
	if err != nil {
		return err
	}
	for _, client := range slices.Sorted(maps.Keys(gone)) {
		if err := remove(st, dir, client); err != nil {
			return err
		}
	}
	if len(fresh) == 0 {
		return nil
	}
	return st.Update(func(tx *store.Tx) error { return enrol(tx, fresh) })
}

// enrol puts clients on record, before anything of theirs is written.
func enrol(tx *store.Tx, clients []string) error {
	for _, client := range clients {
		_, known, err := store.Get[clientRecord](tx, store.Clients, clientKey(client))
		if err == nil && !known {
			err = store.Put(tx, store.Clients, clientKey(client), clientRecord{})
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// tablePaths are the files of a client in every table.
func tablePaths(client string) (paths []string) {
	for _, t := range tables.All() {
		paths = append(paths, parquetPath(t, client), piecePath(t, client))
	}
	return paths
}

// removeOutput deletes every published file of a client.
func removeOutput(dir, client string) error {
	paths := tablePaths(client)
	if client != "" {
		samples := filepath.Dir(samplesPath(client, ""))
		entries, err := os.ReadDir(filepath.Join(dir, samples))
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("output: %w", err)
		}
		for _, e := range entries {
			if isSamplesOf(client, e.Name()) {
				paths = append(paths, filepath.Join(samples, e.Name()))
			}
		}
		paths = append(paths, pagePath(review.ClientPath(client)), filepath.Dir(pagePath(review.SessionPath(client, ""))))
	}
	for i := range paths {
		paths[i] = filepath.Join(dir, paths[i])
	}
	if err := durable.Delete(paths...); err != nil {
		return fmt.Errorf("output: %w", err)
	}
	return nil
}

// samplesEnd is how the name of a session's samples ends behind the client's.
var samplesEnd = regexp.MustCompile(`-\d{8}T\d{4}Z(-\d+)?\.parquet$`)

// isSamplesOf tells whether a file of the samples table is a client's. That
// its name begins with the client's is not enough: c1-b begins with c1.
func isSamplesOf(client, name string) bool {
	end, begins := strings.CutPrefix(name, partition(client))
	return begins && end != "" && samplesEnd.FindString(end) == end
}

// clientOfSamples is whose samples a published file holds; "" for another file.
func clientOfSamples(path string) string {
	dir, name := filepath.Split(path)
	client, ok := strings.CutPrefix(samplesEnd.ReplaceAllString(name, ""), clientPrefix)
	if !ok || !isSamplesOf(client, name) || filepath.Clean(dir) != filepath.Dir(samplesPath("", "")) {
		return ""
	}
	return client
}

// deleteExportsOf forgets every file in a client's folder.
func deleteExportsOf(tx *store.Tx, client string) error {
	var paths []string
	err := store.EachKey(tx, store.Exports, client+"/", func(path string) { paths = append(paths, path) })
	for _, path := range paths {
		if err := deleteExport(tx, path); err != nil {
			return err
		}
	}
	return err
}

// forgetRecords deletes every record of a client.
func forgetRecords(st *store.Store, client string) error {
	return st.Update(func(tx *store.Tx) error {
		outputs := tablePaths(client)
		if client != "" {
			if err := deleteExportsOf(tx, client); err != nil {
				return err
			}
			if err := deleteSessions(tx, client); err != nil {
				return err
			}
			pages, samples := filepath.Dir(pagePath(review.SessionPath(client, ""))), filepath.Dir(samplesPath(client, ""))
			outputs = append(outputs, pagePath(review.ClientPath(client)))
			err := store.EachKey(tx, store.Outputs, "", func(path string) {
				if in := filepath.Dir(path); in == pages || in == samples && isSamplesOf(client, filepath.Base(path)) {
					outputs = append(outputs, path)
				}
			})
			if err != nil {
				return err
			}
		}
		for _, path := range outputs {
			if err := store.Delete(tx, store.Outputs, path); err != nil {
				return err
			}
		}
		return errors.Join(store.Delete(tx, store.Clients, clientKey(client)), store.Delete(tx, store.Clients, judgedKey(client)))
	})
}
