package pipeline

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"

	"boutwise/pipeline/durable"
	"boutwise/pipeline/review"
	"boutwise/pipeline/store"
	"boutwise/pipeline/tables"
)

// Every table is published as one Parquet file a client, so that a night's
// run rewrites only what changed and any reader takes the folder as one
// table, and as one CSV file, put together from one piece a client.
//
// No file name begins with a dot or an underscore, which readers of folders
// skip, or holds an equals sign, which they take for a column.

// A client's files bear its id behind a prefix, which keeps them apart from
// those of what lies in no client's folder.
const (
	clientPrefix = "client-"
	noClient     = "no-client"
)

// partition is the name of a client's files.
func partition(client string) string {
	if client == "" {
		return noClient
	}
	return clientPrefix + client
}

func parquetPath(t *tables.Table, client string) string {
	return filepath.Join("out", "parquet", t.Name, partition(client)+".parquet")
}

func piecePath(t *tables.Table, client string) string {
	return filepath.Join("store", "csv", t.Name, partition(client)+".csv")
}

func csvPath(t *tables.Table) string { return filepath.Join("out", "csv", t.Name+".csv") }

// publisher replaces files of a practice where their bytes change.
type publisher struct {
	dir   string
	store *store.Store // what the files are known to be, by path relative to dir

	puts map[string]outputRecord // changed records, to be committed
}

func (r *refresher) publisher() *publisher {
	return &publisher{dir: r.practice.Dir, store: r.store, puts: map[string]outputRecord{}}
}

// known is what a file is known to be; none for one that was not written. A
// practice of ten years has some ten thousand files, of which a night looks at
// a few.
func (p *publisher) known(path string) (record outputRecord, found bool, err error) {
	err = p.store.View(func(tx *store.Tx) (err error) {
		record, found, err = store.Get[outputRecord](tx, store.Outputs, path)
		return err
	})
	return record, found, err
}

// sound tells whether the file is what it is known to be, as far as its size
// tells, and whether that is what fits says.
func (p *publisher) sound(path string, fits func(outputRecord) bool) (bool, error) {
	record, found, err := p.known(path)
	if err != nil || !found || !fits(record) {
		return false, err
	}
	info, err := os.Stat(filepath.Join(p.dir, path))
	return err == nil && info.Size() == record.Size, nil
}

// present tells whether the file is there in the size that was written.
func (p *publisher) present(path string) (bool, error) {
	return p.sound(path, func(outputRecord) bool { return true })
}

// put makes the file hold data. It touches nothing when it already does.
func (p *publisher) put(path string, data []byte) error {
	record := recordOf(data)
	sound, err := p.sound(path, func(known outputRecord) bool { return known == record })
	if err != nil || sound {
		return err
	}
	return p.write(durable.Writer{}, path, data, record)
}

func recordOf(data []byte) outputRecord {
	sum := sha256.Sum256(data)
	return outputRecord{SHA256: hex.EncodeToString(sum[:]), Size: int64(len(data))}
}

// write replaces the file and notes what it now is.
func (p *publisher) write(how durable.Writer, path string, data []byte, record outputRecord) error {
	if err := how.File(filepath.Join(p.dir, path), data); err != nil {
		return fmt.Errorf("output: %w", err)
	}
	p.puts[path] = record
	return nil
}

// putDrawn makes the file hold data, which was made from what the inputs name.
// Such files are many: they are on the disk when the run ends. Should the power
// fail before, the mark of [begin] makes the next run look through them.
func (p *publisher) putDrawn(path, inputs string, data []byte) error {
	record := recordOf(data)
	record.Inputs = inputs
	return p.write(durable.Writer{Later: true}, path, data, record)
}

// putTable writes a client's rows of one table.
func putTable[R any](p *publisher, t *tables.Table, client string, rows []R) error {
	file, err := tables.EncodeParquet(t, rows)
	if err != nil {
		return err
	}
	if err := p.put(parquetPath(t, client), file); err != nil || !t.CSV {
		return err
	}
	return p.put(piecePath(t, client), tables.EncodeCSV(t, rows))
}

// complete tells whether every file of a client is there.
func (p *publisher) complete(client string) (bool, error) {
	var paths []string
	for _, t := range tables.All() {
		if t != tables.Samples {
			paths = append(paths, parquetPath(t, client), piecePath(t, client))
		}
	}
	if client != "" {
		// Pages are many: one folder that is not there tells as well that they
		// were taken away.
		sessions := filepath.Join(p.dir, filepath.Dir(pagePath(review.SessionPath(client, "x"))))
		if info, err := os.Stat(sessions); err != nil || !info.IsDir() {
			return false, nil
		}
		paths = append(paths, pagePath(review.ClientPath(client)))
	}
	for _, path := range paths {
		if present, err := p.present(path); err != nil || !present {
			return false, err
		}
	}
	return true, nil
}

// joinCSV puts each table's CSV file together from the clients' pieces, where
// one of them changed.
func (p *publisher) joinCSV(clients []string) error {
	clients = slices.Sorted(slices.Values(clients))
	for _, t := range tables.All() {
		if !t.CSV {
			continue
		}
		var pieces []string
		want := outputRecord{Size: int64(len(t.CSVHeader()))}
		sums := []string{string(t.CSVHeader())}
		for _, client := range clients {
			piece, _, err := p.known(piecePath(t, client))
			if err != nil {
				return err
			}
			pieces = append(pieces, filepath.Join(p.dir, piecePath(t, client)))
			sums = append(sums, piece.SHA256)
			want.Size += piece.Size
		}
		want.Inputs = fingerprint(sums)
		path := csvPath(t)
		sound, err := p.sound(path, func(known outputRecord) bool { return known.Inputs == want.Inputs && known.Size == want.Size })
		if err != nil {
			return err
		}
		if sound {
			continue
		}
		if want.SHA256, err = concatenate(filepath.Join(p.dir, path), t.CSVHeader(), pieces); err != nil {
			return err
		}
		p.puts[path] = want
	}
	return nil
}

// concatenate replaces a file by a header and the contents of pieces, and
// gives its checksum.
func concatenate(path string, header []byte, pieces []string) (sum string, err error) {
	hash := sha256.New()
	err = durable.Writer{}.Fill(path, func(file io.Writer) error {
		out := io.MultiWriter(file, hash)
		if _, err := out.Write(header); err != nil {
			return err
		}
		for _, piece := range pieces {
			if err := appendFile(out, piece); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		return "", fmt.Errorf("output: %w", err)
	}
	return hex.EncodeToString(hash.Sum(nil)), nil
}

func appendFile(out io.Writer, path string) error {
	in, err := os.Open(path)
	if err != nil {
		return err
	}
	defer in.Close()
	_, err = io.Copy(out, in)
	return err
}

// outputsOf reads what is known of every published file.
func outputsOf(tx *store.Tx) (map[string]outputRecord, error) {
	outputs := map[string]outputRecord{}
	err := store.Each(tx, store.Outputs, "", func(path string, r outputRecord) error {
		outputs[path] = r
		return nil
	})
	return outputs, err
}

// sweep removes the leftovers of writes that a crash cut short.
func sweep(dir string) error {
	return errors.Join(durable.Sweep(filepath.Join(dir, "out")), durable.Sweep(filepath.Join(dir, "store", "csv")))
}
