package main

import (
	"os"
	"runtime/debug"
)

// heapLimit is what the program may take, in bytes, besides the pages of the
// database that it looks at. A run reads and forgets: little lives at any time,
// and to collect by growth would take a tenth of the work to keep a small heap
// small. So the collector rests until the limit is near, whatever the size of
// the practice.
const heapLimit = 176 << 20

// Who sets Go's own variables knows the machine better.
func init() {
	if os.Getenv("GOGC") == "" && os.Getenv("GOMEMLIMIT") == "" {
		debug.SetGCPercent(-1)
		debug.SetMemoryLimit(heapLimit)
	}
}
