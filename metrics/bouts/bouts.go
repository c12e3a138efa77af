package bouts

// Signal names what a session's bouts were found by.
type Signal string

// The signals, in the order in which they are preferred.
const (
	Power      Signal = "power"       // W
	OxygenCost Signal = "oxygen_cost" // mL/kg/min, from speed and grade
	Speed      Signal = "speed"       // m/s, walking and running only
	HeartRate  Signal = "heart_rate"  // beats a minute
)

// Confidence tells whether the data bear a bout out.
type Confidence string

const (
	Confirmed Confidence = "confirmed" // counts everywhere
	Possible  Confidence = "possible"  // shown as a question, counts nowhere
)

// Input is one session as the finder sees it: one signal on the 1 Hz grid.
type Input struct {
	Signal Signal

	// Values holds the signal, NaN where nothing was measured.
	Values []float64

	// Recorded is false where the recording was stopped. Nil means recorded
	// throughout.
	Recorded []bool

	// Observed is false where Values was bridged between two samples. Nil
	// means observed throughout.
	Observed []bool

	// Altitude, in metres, explains output that follows the hills; nil when
	// unknown.
	Altitude []float64

	// HeartRate, in beats a minute, bears out bouts that another signal leaves in
	// doubt; nil when unknown, and not read when it is the signal itself.
	HeartRate []float64
}

// Bout is one found bout. Times are seconds from the first sample of the
// session; the bout covers the half-open stretch [Start, End).
type Bout struct {
	Start, End float64

	// StartHalf and EndHalf are the half-widths of 90 % intervals around the
	// two boundaries, in seconds.
	StartHalf, EndHalf float64

	Confidence Confidence

	// Score is the acceptance score that Confidence was decided by, 0 to 1.
	Score float64
}

// Duration is the bout's length in seconds.
func (b Bout) Duration() float64 { return b.End - b.Start }
