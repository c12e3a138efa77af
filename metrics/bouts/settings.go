package bouts

// Settings are the finder's thresholds. All levels are relative to the
// signal, so that none depends on the client or the unit.
type Settings struct {
	// Accept is the score from which a set is confirmed: the one setting that
	// trades bouts found against false ones.
	Accept float64

	// Suggest is the score from which a set is shown as possible.
	Suggest float64

	// ShortestBout and LongestBout bound a bout in seconds.
	ShortestBout, LongestBout float64

	// LeastContrast is how far, as a share of its level, a bout must stand
	// above what lies before and after it.
	LeastContrast float64

	// Coast is the longest stretch of zero power in seconds that may be
	// coasting within a bout; Standstill is the same for speed.
	Coast, Standstill int

	// Pause is the shortest stopped recording in seconds that counts as a
	// stretch of no output. Shorter ones are lost samples.
	Pause int

	// Dip is the longest stretch in seconds of easier work that may be part
	// of a bout.
	Dip float64

	// Templates bounds the number of candidates that are tried as the pattern
	// of a set; it keeps the time a day-long session takes within bounds.
	Templates int
}

// DefaultSettings returns the settings in use, with their reasons.
func DefaultSettings() Settings {
	return Settings{
		Accept:  0.5,
		Suggest: 0.1,

		// The shortest bouts in the trade are 15 to 20 s; blocks beyond 40
		// minutes are base work.
		ShortestBout: 12,
		LongestBout:  2400,

		// The faintest contrast asked for is 15 % of the recovery's level,
		// which is 13 % of the bout's; noise takes some of it.
		LeastContrast: 0.08,

		// Corners and short descents; lights and crossings.
		Coast:      13,
		Standstill: 45,
		Pause:      15,
		Dip:        20,
		Templates:  24,
	}
}
