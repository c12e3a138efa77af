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
	known map[string]outputRecord // by path relative to dir

	puts map[string]outputRecord // changed records, to be committed
}

func newPublisher(dir string, known map[string]outputRecord) *publisher {
	return &publisher{dir: dir, known: known, puts: map[string]outputRecord{}}
}

// put makes the file hold data. It touches nothing when it already does.
func (p *publisher) put(path string, data []byte) error {
	record := recordOf(data)
	if p.known[path] == record && p.present(path) {
		return nil
	}
	return p.write(path, data, record)
}

func recordOf(data []byte) outputRecord {
	sum := sha256.Sum256(data)
	return outputRecord{SHA256: hex.EncodeToString(sum[:]), Size: int64(len(data))}
}

// write replaces the file and notes what it now is.
func (p *publisher) write(path string, data []byte, record outputRecord) error {
	if err := (durable.Writer{}).File(filepath.Join(p.dir, path), data); err != nil {
		return fmt.Errorf("output: %w", err)
	}
	p.puts[path] = record
	return nil
}

// present tells whether the file is there in the size that was written.
func (p *publisher) present(path string) bool {
	info, err := os.Stat(filepath.Join(p.dir, path))
	return err == nil && info.Size() == p.known[path].Size
}

// putDrawn makes the file hold data, which was made from what the inputs name.
func (p *publisher) putDrawn(path, inputs string, data []byte) error {
	record := recordOf(data)
	record.Inputs = inputs
	return p.write(path, data, record)
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
func (p *publisher) complete(client string) bool {
	for _, t := range tables.All() {
		if t == tables.Samples {
			continue
		}
		for _, path := range []string{parquetPath(t, client), piecePath(t, client)} {
			if _, known := p.known[path]; !known || !p.present(path) {
				return false
			}
		}
	}
	// Pages are many: one folder that is not there tells as well that they
	// were taken away.
	if client == "" {
		return true
	}
	sessions := filepath.Join(p.dir, filepath.Dir(pagePath(review.SessionPath(client, "x"))))
	info, err := os.Stat(sessions)
	return err == nil && info.IsDir() && p.present(pagePath(review.ClientPath(client)))
}

// joinCSV puts each table's CSV file together from the clients' pieces, where
// one of them changed.
func joinCSV(dir string, outputs map[string]outputRecord, clients []string) (puts map[string]outputRecord, err error) {
	puts = map[string]outputRecord{}
	clients = slices.Sorted(slices.Values(clients))
	for _, t := range tables.All() {
		if !t.CSV {
			continue
		}
		var pieces []string
		want := outputRecord{Size: int64(len(t.CSVHeader()))}
		sums := []string{string(t.CSVHeader())}
		for _, client := range clients {
			piece := outputs[piecePath(t, client)]
			pieces = append(pieces, filepath.Join(dir, piecePath(t, client)))
			sums = append(sums, piece.SHA256)
			want.Size += piece.Size
		}
		want.Inputs = fingerprint(sums)
		path := csvPath(t)
		have := outputs[path]
		if have.Inputs == want.Inputs && have.Size == want.Size && newPublisher(dir, outputs).present(path) {
			continue
		}
		if want.SHA256, err = concatenate(filepath.Join(dir, path), t.CSVHeader(), pieces); err != nil {
			return nil, err
		}
		puts[path] = want
	}
	return puts, nil
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
