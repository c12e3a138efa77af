package metrics

import "math"

// RecoveryKind says what the client did in a recovery.
type RecoveryKind string

// The kinds of recovery.
const (
	Passive         RecoveryKind = "passive" // standing, sitting, or the recording stopped
	Active          RecoveryKind = "active"  // easy work
	UnknownRecovery RecoveryKind = ""        // no recovery, or its output not measured
)

const (
	// lastRecoverySeconds bounds the recovery after the last bout, which no
	// next bout ends.
	lastRecoverySeconds = 180

	// passivePct is the mean output, in percent of the bout's, up to which a
	// recovery is passive.
	passivePct = 50
)

// Recovery is the easier stretch after a bout.
type Recovery struct {
	Stretch

	// OutputPct is the mean output in the recovery over the bout's mean, in
	// percent, from the seconds that were measured; NaN where none was.
	OutputPct float64

	Kind RecoveryKind

	// WorkToRecovery is the bout's duration over the recovery's. NaN when the
	// recovery is empty, and after the last bout, whose recovery is cut at three
	// minutes and so has no length of its own.
	WorkToRecovery float64
}

// Recoveries gives the recovery after each of a session's bouts: up to the
// next bout's start, or after the last bout three minutes at most and no
// longer than the session. Bouts are in order and do not overlap. output is
// the signal that the bouts were held by, or all NaN where that is heart rate,
// which is no output; recorded tells the seconds in which the device was
// recording, nil for all.
//
// A recovery is passive when its mean output is at most half the bout's, or
// when most of it was not recorded: a client who stops the device to rest is
// not working. It is active above. The kind is unknown when the recovery is
// empty, or was recorded without output.
func Recoveries(output []float64, recorded []bool, bouts []Stretch) []Recovery {
	recoveries := make([]Recovery, len(bouts))
	session := float64(len(output))
	for i, bout := range bouts {
		last := i == len(bouts)-1
		end := min(bout.End+lastRecoverySeconds, session)
		if !last {
			end = bouts[i+1].Start
		}
		// A last bout may end a fraction after the last second.
		stretch := Stretch{bout.End, max(end, bout.End)}

		r := Recovery{Stretch: stretch, WorkToRecovery: math.NaN()}
		r.OutputPct = percentOf(stretch.Mean(output), bout.Mean(output))
		r.Kind = recoveryKind(r, recorded)
		if !last && stretch.Duration() > 0 {
			r.WorkToRecovery = bout.Duration() / stretch.Duration()
		}
		recoveries[i] = r
	}
	return recoveries
}

// recoveryKind names the recovery from its output and from how much of it was
// recorded.
func recoveryKind(r Recovery, recorded []bool) RecoveryKind {
	switch {
	case mostlyStopped(r.Stretch, recorded), r.OutputPct <= passivePct:
		return Passive
	case r.OutputPct > passivePct:
		return Active
	}
	return UnknownRecovery
}

// mostlyStopped tells whether more than half of the stretch was not recorded.
func mostlyStopped(s Stretch, recorded []bool) bool {
	low, high := s.seconds(len(recorded))
	stopped := 0
	for _, on := range recorded[low:high] {
		if !on {
			stopped++
		}
	}
	return 2*stopped > high-low
}

// HRRecovery60 is the heart rate at the bout's end less the heart rate 60 s
// later, in bpm. A fractional instant lies on the straight line between the
// samples around it. NaN when a sample that it needs is missing, or the
// recording ends before the minute is over.
//
// Published cut points (12 bpm after a peak effort: Cole CR et al., N Engl J
// Med 1999;341:1351–1357, with an easy walk; others standing) each hold for
// their own way of recovering only.
func HRRecovery60(hr []float64, boutEnd float64) float64 {
	return valueAt(hr, boutEnd) - valueAt(hr, boutEnd+60)
}

// valueAt is the column's value at an instant in seconds, interpolated.
func valueAt(column []float64, instant float64) float64 {
	before := math.Floor(instant)
	// Also false for NaN.
	if !(before >= 0 && before < float64(len(column))) {
		return math.NaN()
	}
	i, part := int(before), instant-before
	if part == 0 {
		return column[i]
	}
	if i+1 >= len(column) {
		return math.NaN()
	}
	return column[i] + part*(column[i+1]-column[i])
}
