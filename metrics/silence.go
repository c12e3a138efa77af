package metrics

// maxSilence is the longest gap, in seconds, that a device which writes only
// on change leaves while its wearer trains on. A longer one without a word
// from the device is more likely a stop that it did not tell. Common practice,
// no source.
const maxSilence = 60

// SilentSeconds counts the seconds of training that a device did not write: in
// gaps of a recording, each at most a minute long, that touch none of the
// pauses which the export tells. Gaps of at most [MaxBridge] seconds are none,
// they count as recorded. Nothing is known of these seconds but that they were
// trained, so they count in minutes and nowhere else.
func SilentSeconds(recorded []bool, pauses []Stretch) int {
	silent, gap := 0, 0
	for i, on := range recorded {
		if !on {
			gap++
			continue
		}
		// A gap lies between two samples: the one before it and the one at i.
		if gap > 0 && gap < maxSilence && !paused(pauses, float64(i-gap-1), float64(i)) {
			silent += gap
		}
		gap = 0
	}
	return silent
}

// paused tells whether a pause shares time with the seconds from first to last.
func paused(pauses []Stretch, first, last float64) bool {
	for _, p := range pauses {
		if p.Start < last && p.End > first {
			return true
		}
	}
	return false
}
