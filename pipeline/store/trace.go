package store

import (
	"errors"
	"fmt"
	"hash/crc32"
	"os"
	"path/filepath"

	"boutwise/metrics"
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
	path := s.tracePath(client, key)
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		return 0, fmt.Errorf("store: %w", err)
	}
	if err := s.replace(path, file); err != nil {
		return 0, fmt.Errorf("store: %w", err)
	}
	return crc32.ChecksumIEEE(file), nil
}

// replace puts a file in place whole. Two writers of one trace, whose exports
// have the same bytes, must not share a temporary file. What a crash leaves in
// the folder for them is removed when the store is opened.
func (s *Store) replace(path string, data []byte) error {
	tmp, err := os.CreateTemp(s.tmpDir(), "trace-*")
	if err != nil {
		return err
	}
	_, err = tmp.Write(data)
	if err := errors.Join(err, tmp.Close()); err != nil {
		return err
	}
	return os.Rename(tmp.Name(), path)
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
	if err := os.RemoveAll(filepath.Join(s.dir, "traces", client)); err != nil {
		return fmt.Errorf("store: %w", err)
	}
	return nil
}
