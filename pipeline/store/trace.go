package store

import (
	"errors"
	"fmt"
	"hash/crc32"
	"os"
	"path/filepath"

	"boutwise/metrics"
	"boutwise/pipeline/durable"
)

// ErrNoTrace tells that a trace is missing or damaged and must be read again
// from its export.
var ErrNoTrace = errors.New("no sound trace in the store")

func (s *Store) tracePath(client, key string) string {
	return filepath.Join(s.dir, "traces", client, key+".parquet")
}

// WriteTrace stores a client's trace under key and gives the checksum by
// which [Store.ReadTrace] knows it again. A crash leaves the old trace or the
// new one; a power cut may leave neither, which the checksum tells.
func (s *Store) WriteTrace(client, key string, tr *metrics.Trace) (sum uint32, err error) {
	file, err := encodeTrace(tr)
	if err != nil {
		return 0, err
	}
	// Two writers of one trace, whose exports have the same bytes, replace it
	// one after the other. A trace that a power cut left short is told by its
	// checksum, so there is no waiting for the disk.
	writer := durable.Writer{TempDir: s.tmpDir(), NoSync: true}
	if err := writer.File(s.tracePath(client, key), file); err != nil {
		return 0, fmt.Errorf("store: %w", err)
	}
	return crc32.ChecksumIEEE(file), nil
}

func (s *Store) tmpDir() string { return filepath.Join(s.dir, "tmp") }

// ReadTrace reads a trace back. [ErrNoTrace] tells that it is missing or not
// the one that was written.
func (s *Store) ReadTrace(client, key string, sum uint32) (*metrics.Trace, error) {
	file, err := os.ReadFile(s.tracePath(client, key))
	if err != nil {
		return nil, fmt.Errorf("%w: %s/%s: %w", ErrNoTrace, client, key, err)
	}
	if crc32.ChecksumIEEE(file) != sum {
		return nil, fmt.Errorf("%w: %s/%s: checksum differs", ErrNoTrace, client, key)
	}
	return decodeTrace(file)
}

// RemoveClient removes all traces of a client.
func (s *Store) RemoveClient(client string) error {
	if err := durable.Delete(filepath.Join(s.dir, "traces", client)); err != nil {
		return fmt.Errorf("store: %w", err)
	}
	return nil
}
