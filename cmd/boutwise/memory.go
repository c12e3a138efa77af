package main

import "runtime/debug"

// A run reads and forgets: little lives at any time, and with the default
// setting the collector would take a fifth of the work to keep a small heap
// small. A larger heap costs nothing that a practice's computer lacks; the
// limit makes the collector work as hard as it must before more is taken.
const (
	heapGrowthPct = 400
	heapLimit     = 256 << 20 // bytes
)

func init() {
	debug.SetGCPercent(heapGrowthPct)
	debug.SetMemoryLimit(heapLimit)
}
