package store

import (
	"errors"
	"fmt"
	"hash/crc32"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

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
	tmp := path + ".part"
	if err := os.WriteFile(tmp, file, 0o600); err != nil {
		return 0, fmt.Errorf("store: %w", err)
	}
	if err := os.Rename(tmp, path); err != nil {
		return 0, fmt.Errorf("store: %w", err)
	}
	return crc32.ChecksumIEEE(file), nil
}

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

// RemoveTraces removes a client's traces that keep does not name.
func (s *Store) RemoveTraces(client string, keep func(key string) bool) error {
	dir := filepath.Join(s.dir, "traces", client)
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("store: %w", err)
	}
	for _, e := range entries {
		key, isTrace := strings.CutSuffix(e.Name(), ".parquet")
		if isTrace && keep(key) {
			continue
		}
		if err := os.Remove(filepath.Join(dir, e.Name())); err != nil {
			return fmt.Errorf("store: %w", err)
		}
	}
	return nil
}
