package store

import (
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

// walk reads every record once, without decoding it, so that damage is met
// here and not in the middle of a run.
func walk(db *bbolt.DB) error {
	sum := uint32(0)
	return db.View(func(tx *bbolt.Tx) error {
		return tx.ForEach(func(_ []byte, b *bbolt.Bucket) error {
			return b.ForEach(func(k, v []byte) error {
				if len(k) == 0 || len(v) == 0 {
					return fmt.Errorf("%w (an empty record)", ErrDamaged)
				}
				sum = crc32.Update(sum, crc32.IEEETable, v) // touches every byte
				return nil
			})
		})
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
