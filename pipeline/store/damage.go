package store

import (
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"io/fs"
	"os"
	"path/filepath"
	"runtime/debug"

	"go.etcd.io/bbolt"
)

// ErrDamaged is what [Open] gives when the file of records is not as it was
// written: cut short, or changed by a failing disk.
var ErrDamaged = errors.New("the records are damaged; boutwise check --repair sets them aside and reads all exports anew")

// contain turns a panic or a fault of the database into [ErrDamaged]. The
// database maps its file into memory and believes what stands there; a page
// beyond the end of a file that was cut short is a fault. Nothing but the
// database runs inside.
func contain(f func() error) (err error) {
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	defer func() {
		if cause := recover(); cause != nil {
			err = fmt.Errorf("%w (%v)", ErrDamaged, cause)
		}
	}()
	return f()
}

// sealBytes is the size of the checksum behind every record.
const sealBytes = 4

// seal puts a checksum of key and record behind the record: the database
// itself believes whatever stands in its file.
func seal(key string, raw []byte) []byte {
	return binary.BigEndian.AppendUint32(raw, checksum(key, raw))
}

func checksum(key string, raw []byte) uint32 {
	return crc32.Update(crc32.ChecksumIEEE([]byte(key)), crc32.IEEETable, raw)
}

// unseal gives a record without its checksum.
func unseal(b Bucket, key string, sealed []byte) ([]byte, error) {
	n := len(sealed) - sealBytes
	if n < 0 || binary.BigEndian.Uint32(sealed[n:]) != checksum(key, sealed[:n]) {
		return nil, fmt.Errorf("store: %s %q: %w (not as it was written)", b, key, ErrDamaged)
	}
	return sealed[:n], nil
}

// walk reads every record once, without decoding it, so that damage is met
// here and not in the middle of a run.
func walk(db *bbolt.DB) error {
	return db.View(func(tx *bbolt.Tx) error {
		for _, bucket := range records {
			b := tx.Bucket([]byte(bucket))
			if b == nil {
				continue // a fresh file
			}
			err := b.ForEach(func(k, v []byte) error {
				_, err := unseal(bucket, string(k), v)
				return err
			})
			if err != nil {
				return err
			}
		}
		return nil
	})
}

// SetAside moves damaged records of the store in dir out of the way, for
// whoever may want to look into them. The next [Open] begins with none.
func SetAside(dir string) error {
	path := filepath.Join(dir, "state.db")
	if err := os.Rename(path, path+".damaged"); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("store: %w", err)
	}
	return nil
}
