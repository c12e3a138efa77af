package durable

import (
	"os"

	"golang.org/x/sys/unix"
)

// settles tells whether [Settle] makes up for files that were not waited for.
const settles = true

// settle waits for the whole disk, what other programs wrote included: for
// thousands of files that is still far less than to wait for each. It tells of
// writes that failed from Linux 5.8 on (from memory).
func settle(dir string) error {
	folder, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer folder.Close()
	return unix.Syncfs(int(folder.Fd()))
}
