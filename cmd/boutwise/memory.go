package main

import (
	"os"
	"runtime"
	"runtime/debug"
	"runtime/metrics"
)

// A run reads and forgets: little lives at any time, and to collect by growth,
// as is usual, would take a tenth of the work to keep a small heap small. So
// the collector rests until the heap comes near to heapBytes, whatever the size
// of the practice. Where more lives than a practice of ten years needs, the
// limit grows with it, lest the collector never rests.
const (
	heapBytes  = 176 << 20
	heapGrowth = 3 // times what lives
)

// Who sets Go's own variables knows the machine better.
func init() {
	if os.Getenv("GOGC") == "" && os.Getenv("GOMEMLIMIT") == "" {
		debug.SetGCPercent(-1)
		limitHeap(0)
	}
}

// limitHeap sets the limit, and itself to be called after each collection.
func limitHeap(int) {
	live := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	metrics.Read(live)
	debug.SetMemoryLimit(max(heapBytes, heapGrowth*int64(live[0].Value.Uint64())))
	runtime.AddCleanup(new([64]byte), limitHeap, 0)
}
