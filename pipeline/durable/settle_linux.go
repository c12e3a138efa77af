package durable

import (
	"os"

	"golang.org/x/sys/unix"
)

// settles tells whether [Settle] makes up for files that were not waited for.
const settles = true

func settle(dir string) error {
	folder, err := os.Open(dir)
	if err != nil {
		return err
	}
	defer folder.Close()
	return unix.Syncfs(int(folder.Fd()))
}
