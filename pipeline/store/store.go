// Package store keeps what the program knows between two nights: records in
// one transactional file, and decoded traces as Parquet files beside it.
//
//	store/lock              who runs now
//	store/state.db          records: bucket, key, CBOR value
//	store/traces/CLIENT/KEY.parquet
//	store/tmp               files being written; emptied when opened
//
// Records are the truth; a trace is derived from its export and is written
// before the record that names it. A trace that is lost or damaged is read
// again from the export. The store knows nothing of what the records mean.
package store

import (
	"encoding/binary"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"time"

	"github.com/fxamacker/cbor/v2"
	"github.com/gofrs/flock"
	"go.etcd.io/bbolt"
	bbolterrors "go.etcd.io/bbolt/errors"

	"boutwise/pipeline/durable"
)

// FormatVersion counts incompatible changes of the store. A newer store is
// refused by an older program.
const FormatVersion = 2

// ErrBusy is what [Open] gives when another run holds the store.
var ErrBusy = errors.New("another run is using this practice")

// ErrNewer is what [Open] gives for a store of a newer program.
var ErrNewer = errors.New("the store was written by a newer version of the program")

// Store is an open store. Only one process has it open at a time.
type Store struct {
	dir  string
	db   *bbolt.DB
	lock *flock.Flock
}

// Bucket names a family of records.
type Bucket string

// The families of records.
const (
	meta     Bucket = "meta"
	Exports  Bucket = "exports"  // one a file in the inbox, by its path
	Measured Bucket = "measured" // one a session, by client and session
	Counted  Bucket = "counted"  // likewise: the part of what was measured that is rarely asked for
	Clients  Bucket = "clients"  // one a client: what its tables rest on
	Outputs  Bucket = "outputs"  // one a written file, by its path
	Contents Bucket = "contents" // one an export, by checksum and path
)

// records are the families whose records are sealed; meta holds the format.
var (
	records = []Bucket{Exports, Measured, Counted, Clients, Outputs, Contents}
	buckets = append([]Bucket{meta}, records...)
)

// encoding is deterministic, so that equal records are equal bytes.
var encoding = func() cbor.EncMode {
	options := cbor.CoreDetEncOptions()
	options.Time = cbor.TimeRFC3339Nano
	mode, err := options.EncMode()
	if err != nil {
		panic("store: " + err.Error())
	}
	return mode
}()

var decoding = func() cbor.DecMode {
	mode, err := cbor.DecOptions{MaxArrayElements: 1 << 24, MaxMapPairs: 1 << 24}.DecMode()
	if err != nil {
		panic("store: " + err.Error())
	}
	return mode
}()

// Open opens the store in dir, creating it where there is none, and holds its
// lock until [Store.Close].
func Open(dir string) (*Store, error) {
	if err := os.MkdirAll(filepath.Join(dir, "traces"), 0o700); err != nil {
		return nil, fmt.Errorf("store: %w", durable.WithRemedy(err))
	}
	s := &Store{dir: dir, lock: flock.New(filepath.Join(dir, "lock"), flock.SetPermissions(0o600))}
	got, err := s.lock.TryLock()
	if err != nil {
		return nil, fmt.Errorf("store: lock: %w", durable.WithRemedy(err))
	}
	if !got {
		holder, _ := os.ReadFile(filepath.Join(dir, "lock.holder"))
		return nil, fmt.Errorf("%w: %s; wait until it ends", ErrBusy, strings.TrimSpace(string(holder)))
	}
	if err := s.open(); err != nil {
		s.lock.Unlock()
		return nil, err
	}
	return s, nil
}

func (s *Store) open() error {
	if err := durable.Delete(s.tmpDir()); err != nil {
		return fmt.Errorf("store: %w", err)
	}
	if err := os.Mkdir(s.tmpDir(), 0o700); err != nil {
		return fmt.Errorf("store: %w", durable.WithRemedy(err))
	}
	host, _ := os.Hostname()
	holder := fmt.Sprintf("process %d on %s since %s\n", os.Getpid(), host, time.Now().Format(time.RFC3339))
	writer := durable.Writer{TempDir: s.tmpDir(), NoSync: true}
	if err := writer.File(filepath.Join(s.dir, "lock.holder"), []byte(holder)); err != nil {
		return fmt.Errorf("store: %w", err)
	}
	if err := s.openRecords(); err != nil {
		return err
	}
	err := s.update(func(tx *bbolt.Tx) error {
		for _, b := range buckets {
			if _, err := tx.CreateBucketIfNotExists([]byte(b)); err != nil {
				return err
			}
		}
		return checkVersion(tx.Bucket([]byte(meta)))
	})
	if err != nil {
		s.db.Close()
		return fmt.Errorf("store: %s: %w", s.recordsPath(), err)
	}
	return nil
}

func (s *Store) recordsPath() string { return filepath.Join(s.dir, "state.db") }

// openRecords opens the file of records.
func (s *Store) openRecords() error {
	err := contain(func() (err error) {
		s.db, err = bbolt.Open(s.recordsPath(), 0o600, &bbolt.Options{Timeout: time.Second, FreelistType: bbolt.FreelistMapType})
		if err == nil {
			err = walk(s.db)
		}
		return err
	})
	if err == nil {
		return nil
	}
	var disk syscall.Errno
	if errors.As(err, &disk) || errors.Is(err, bbolterrors.ErrTimeout) || errors.Is(err, ErrDamaged) {
		err = durable.WithRemedy(err)
	} else {
		// What the database says against the file itself.
		err = fmt.Errorf("%w (%w)", ErrDamaged, err)
	}
	if s.db != nil {
		s.db.Close()
	}
	return fmt.Errorf("store: %s: %w", s.recordsPath(), err)
}

func checkVersion(b *bbolt.Bucket) error {
	key := []byte("format_version")
	have := b.Get(key)
	if have != nil && binary.BigEndian.Uint32(have) > FormatVersion {
		return fmt.Errorf("%w: format %d, this one knows %d; install the newer one", ErrNewer, binary.BigEndian.Uint32(have), FormatVersion)
	}
	return b.Put(key, binary.BigEndian.AppendUint32(nil, FormatVersion))
}

// Close releases the store.
func (s *Store) Close() error {
	return errors.Join(s.db.Close(), s.lock.Unlock())
}

// Compact rewrites the records into a fresh file, so that nothing deleted is
// left on its pages.
func (s *Store) Compact() error {
	// What a crash leaves of the fresh file goes when the store is opened.
	fresh := filepath.Join(s.tmpDir(), "state.db")
	db, err := bbolt.Open(fresh, 0o600, &bbolt.Options{Timeout: time.Second})
	if err != nil {
		return fmt.Errorf("store: compact: %w", durable.WithRemedy(err))
	}
	db.AllocSize = os.Getpagesize() // grow by no more than is needed
	err = bbolt.Compact(db, s.db, 1<<20)
	err = errors.Join(err, db.Close())
	if err == nil {
		err = durable.Reached(durable.Rename, s.recordsPath())
	}
	if err != nil {
		return fmt.Errorf("store: compact: %w", durable.WithRemedy(err))
	}
	if err := errors.Join(s.db.Close(), os.Rename(fresh, s.recordsPath())); err != nil {
		return fmt.Errorf("store: compact: %w", err)
	}
	return s.openRecords()
}

// Tx is one transaction: all of it happens, or none.
type Tx struct{ tx *bbolt.Tx }

// View runs f on a consistent state.
func (s *Store) View(f func(*Tx) error) error {
	return s.db.View(func(tx *bbolt.Tx) error { return f(&Tx{tx}) })
}

// Update runs f and makes what it put durable, or nothing when f fails.
func (s *Store) Update(f func(*Tx) error) error {
	return s.update(func(tx *bbolt.Tx) error { return f(&Tx{tx}) })
}

func (s *Store) update(f func(*bbolt.Tx) error) error {
	filled := false
	err := s.db.Update(func(tx *bbolt.Tx) error {
		if err := f(tx); err != nil {
			return err
		}
		filled = true
		return durable.Reached(durable.Commit, s.recordsPath())
	})
	if err != nil && filled {
		return fmt.Errorf("store: not saved: %w", durable.WithRemedy(err))
	}
	return err
}

// A record that another version of the program wrote with other fields is as
// good as none: its values have lost their names. What it told is read from the
// exports again.

// Get reads one record; found is false where there is none.
func Get[T any](tx *Tx, b Bucket, key string) (value T, found bool, err error) {
	sealed := tx.tx.Bucket([]byte(b)).Get([]byte(key))
	if sealed == nil {
		return value, false, nil
	}
	raw, err := unseal(b, key, sealed)
	if err != nil {
		return value, false, err
	}
	switch err := decoding.Unmarshal(raw, &value); {
	case otherFields(err):
		return *new(T), false, nil
	case err != nil:
		return value, false, fmt.Errorf("store: %s %q: %w (%w)", b, key, ErrDamaged, err)
	}
	return value, true, nil
}

// otherFields tells a sound record of another shape from a damaged one.
func otherFields(err error) bool {
	var shape *cbor.UnmarshalTypeError
	return errors.As(err, &shape)
}

// Put writes one record.
func Put[T any](tx *Tx, b Bucket, key string, value T) error {
	raw, err := encoding.Marshal(value)
	if err != nil {
		return fmt.Errorf("store: %s %q: %w", b, key, err)
	}
	return tx.tx.Bucket([]byte(b)).Put([]byte(key), seal(key, raw))
}

// Delete removes one record; it is no error if there is none.
func Delete(tx *Tx, b Bucket, key string) error {
	return tx.tx.Bucket([]byte(b)).Delete([]byte(key))
}

// DeletePrefix removes every record whose key begins with prefix.
func DeletePrefix(tx *Tx, b Bucket, prefix string) error {
	c := tx.tx.Bucket([]byte(b)).Cursor()
	for k, _ := c.Seek([]byte(prefix)); k != nil && strings.HasPrefix(string(k), prefix); k, _ = c.Seek([]byte(prefix)) {
		if err := c.Delete(); err != nil {
			return fmt.Errorf("store: %s: %w", b, err)
		}
	}
	return nil
}

// Each calls f for every record whose key begins with prefix, in key order.
// f must not change the bucket.
func Each[T any](tx *Tx, b Bucket, prefix string, f func(key string, value T) error) error {
	c := tx.tx.Bucket([]byte(b)).Cursor()
	for k, sealed := c.Seek([]byte(prefix)); k != nil && strings.HasPrefix(string(k), prefix); k, sealed = c.Next() {
		raw, err := unseal(b, string(k), sealed)
		if err != nil {
			return err
		}
		var value T
		if err := decoding.Unmarshal(raw, &value); otherFields(err) {
			continue
		} else if err != nil {
			return fmt.Errorf("store: %s %q: %w (%w)", b, k, ErrDamaged, err)
		}
		if err := f(string(k), value); err != nil {
			return err
		}
	}
	return nil
}

// EachKey calls f for every key of a bucket that begins with prefix, in order,
// without decoding.
func EachKey(tx *Tx, b Bucket, prefix string, f func(key string)) error {
	c := tx.tx.Bucket([]byte(b)).Cursor()
	for k, _ := c.Seek([]byte(prefix)); k != nil && strings.HasPrefix(string(k), prefix); k, _ = c.Next() {
		f(string(k))
	}
	return nil
}

// EachText calls f for every key and for every text in every record, whatever
// its fields mean.
func EachText(tx *Tx, f func(b Bucket, text string)) error {
	for _, b := range records {
		err := tx.tx.Bucket([]byte(b)).ForEach(func(k, sealed []byte) error {
			raw, err := unseal(b, string(k), sealed)
			if err != nil {
				return err
			}
			f(b, string(k))
			var value any
			if err := decoding.Unmarshal(raw, &value); err != nil {
				return fmt.Errorf("store: %s %q: %w (%w)", b, k, ErrDamaged, err)
			}
			eachText(value, func(text string) { f(b, text) })
			return nil
		})
		if err != nil {
			return err
		}
	}
	return nil
}

func eachText(value any, f func(string)) {
	switch v := value.(type) {
	case string:
		f(v)
	case []any:
		for _, x := range v {
			eachText(x, f)
		}
	case map[any]any:
		for k, x := range v {
			eachText(k, f)
			eachText(x, f)
		}
	}
}

// Encode gives the deterministic bytes of a value, for fingerprints.
func Encode(value any) []byte {
	raw, err := encoding.Marshal(value)
	if err != nil {
		panic("store: a value that cannot be encoded: " + err.Error())
	}
	return raw
}
