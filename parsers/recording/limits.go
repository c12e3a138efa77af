package recording

import "time"

// Limits bound what one inbox file may cost, so that hostile or broken bytes
// end in a clear refusal and not in exhausted memory. A zero field stands for
// its default.
type Limits struct {
	// MaxBytes is the most decoded bytes one export may hold. Default 64 MiB:
	// two days at one sample a second are about 10 MB of FIT with every
	// channel, and about 60 MB of the wordiest XML.
	MaxBytes int64

	// MaxSamples is the most samples one export may hold. Default 172,800: two
	// days at one sample a second.
	MaxSamples int

	// MaxMarks is the most laps, legs, pauses and device entries together that
	// one export may hold. Default 20,000: two days with a lap every 10 s.
	MaxMarks int

	// MaxXMLDepth is how deep XML elements may nest. Default 64: the deepest
	// element that is read lies 10 deep.
	MaxXMLDepth int

	// MaxMembers is the most members one inbox file may hold, nested archives
	// counted through. Default 100,000: ten years of several exports a day,
	// with as many files beside them.
	MaxMembers int

	// MaxNesting is how many containers may lie inside each other. Default 3:
	// a compressed export in an archive in an archive.
	MaxNesting int

	// MaxRatio is how many times its own size an inbox file may decode to,
	// all members and levels together, beyond an allowance of MaxBytes.
	// Default 200: XML exports of idle minutes shrink about 50-fold, deflate
	// can reach 1,032. It also bounds archives whose members overlap.
	MaxRatio int64

	// EarliestYear and LatestYear bound when a workout can have been, in UTC;
	// a recording of another time is read, and its date called doubtful.
	// Defaults 2000 and 2099: a device whose clock was never set counts from
	// 1970, 1980 or, in FIT, 1989, and may have run for years; the end of the
	// 32-bit second is in 2106.
	EarliestYear, LatestYear int
}

// Dated tells whether a workout can have been at a time, as far as the year
// says.
func (l Limits) Dated(at time.Time) bool {
	year := at.UTC().Year()
	return year >= l.EarliestYear && year <= l.LatestYear
}

// DefaultLimits gives every limit's default.
func DefaultLimits() Limits { return Limits{}.WithDefaults() }

// WithDefaults gives l with its zero fields set to their defaults.
func (l Limits) WithDefaults() Limits {
	set(&l.MaxBytes, 64<<20)
	set(&l.MaxSamples, 2*24*3600)
	set(&l.MaxMarks, 20_000)
	set(&l.MaxXMLDepth, 64)
	set(&l.MaxMembers, 100_000)
	set(&l.MaxNesting, 3)
	set(&l.MaxRatio, 200)
	set(&l.EarliestYear, 2000)
	set(&l.LatestYear, 2099)
	return l
}

// set replaces a zero by its default.
func set[T int | int64](field *T, def T) {
	if *field == 0 {
		*field = def
	}
}
