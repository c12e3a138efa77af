package fit

import (
	"math"
	"sort"

	"boutwise/parsers/recording"
)

// beat is one heartbeat that a strap stored and handed over afterwards.
type beat struct {
	ms  int64 // Unix milliseconds
	bpm float64
}

// epoch is the FIT epoch, 1989-12-31T00:00:00Z, in Unix seconds.
const epoch = 631065600

// beatReader reads hr messages. The first gives the time of a beat twice, as a
// timestamp and on the strap's own clock of 1/1024 s; later ones give the
// lowest twelve bits of that clock alone.
type beatReader struct {
	anchored bool
	originMS float64 // Unix time at which the strap's clock stood at zero
	ticks    uint64  // the strap's clock at the latest beat
}

// Fields of the hr message.
const (
	hrFraction = 0  // of the timestamp, 1/32768 s
	hrBPM      = 6  // a byte a beat
	hrTicks    = 9  // the strap's clock, 4 bytes a beat
	hrTicks12  = 10 // its lowest 12 bits, 3 bytes for two beats
)

// read adds a message's beats.
func (r *beatReader) read(p *plan, b []byte, beats []beat) []beat {
	// The message may lack any of its fields: an absent one is empty.
	part := func(num byte) []byte {
		s := p.source[num]
		return b[s.at : s.at+s.size]
	}
	bpm := part(hrBPM)
	full, low := part(hrTicks), part(hrTicks12)
	// Only a message with both clocks can tie one to the other.
	if len(full) >= 4 && p.timeAt >= 0 {
		if stamp := p.order.Uint32(b[p.timeAt:]); stamp != 0xFFFFFFFF {
			r.anchor(float64(stamp)+fraction(part(hrFraction), p), p.order.Uint32(full))
		}
	}
	// Beats before the first such message cannot be placed in time.
	if !r.anchored {
		return beats
	}
	// A message holds several beats, all on the strap's clock.
	for i, v := range bpm {
		switch {
		case len(full) >= 4*(i+1):
			r.ticks = uint64(p.order.Uint32(full[4*i:]))
		// The difference to the latest, modulo 12 bits: 4 s, in which every
		// living heart beats.
		case len(low) >= 3*(i/2)+3:
			r.ticks += (uint64(ticks12(low[3*(i/2):], i%2)) - r.ticks) & 0xFFF
		default:
			continue
		}
		// 0 stands for no contact, 255 for no value.
		if v != 0 && v != 0xFF {
			beats = append(beats, beat{ms: int64(r.originMS + float64(r.ticks)*1000/1024), bpm: float64(v)})
		}
	}
	return beats
}

// anchor ties the strap's clock to the time of day.
func (r *beatReader) anchor(seconds float64, ticks uint32) {
	r.anchored = true
	// Kept as the strap's zero, so that each later beat is one addition and no
	// rounding error adds up over hours.
	r.originMS = (epoch+seconds)*1000 - float64(ticks)*1000/1024
	r.ticks = uint64(ticks)
}

// fraction reads the fraction of a timestamp, 0 when there is none.
func fraction(b []byte, p *plan) float64 {
	if len(b) != 2 || p.order.Uint16(b) == 0xFFFF {
		return 0
	}
	return float64(p.order.Uint16(b)) / 32768
}

// ticks12 takes the first or second 12-bit number out of three bytes.
func ticks12(b []byte, which int) uint16 {
	// Two numbers share the middle byte: its low half is the first one's top,
	// its high half the second one's bottom.
	if which == 0 {
		return uint16(b[0]) | uint16(b[1]&0x0F)<<8
	}
	return uint16(b[1]>>4) | uint16(b[2])<<4
}

// maxBeatAgeMS is how old a beat may be to tell the heart rate at a sample:
// the gap that the trace bridges.
const maxBeatAgeMS = 10_000

// fillHeartRate gives every sample without heart rate the mean over the beats
// since the sample before it, 10 s at most. It tells how many it filled.
func fillHeartRate(s *recording.Samples, beats []beat) (filled int) {
	// Straps hand over what they stored in bursts, which may come out of order.
	sort.SliceStable(beats, func(i, j int) bool { return beats[i].ms < beats[j].ms })
	// A watch that recorded without the strap has no heart rate column at all.
	if len(s.HeartRate) == 0 {
		s.HeartRate = make([]float64, s.Len())
		for i := range s.HeartRate {
			s.HeartRate[i] = math.NaN()
		}
	}
	for i, at := range s.TimeMS {
		// What the watch saw itself, during the workout, is left alone.
		if !math.IsNaN(s.HeartRate[i]) {
			continue
		}
		since := at - maxBeatAgeMS
		// Each beat counts once, for the sample that follows it.
		if i > 0 && s.TimeMS[i-1] < at {
			since = max(since, s.TimeMS[i-1])
		}
		if mean := meanBeats(beats, since, at); !math.IsNaN(mean) {
			s.HeartRate[i] = mean
			filled++
		}
	}
	return filled
}

// meanBeats is the mean rate over the beats after one time up to another; NaN
// when there is none.
func meanBeats(beats []beat, after, until int64) float64 {
	// Beats are many and samples are many: from the right place on, not from
	// the start.
	i := sort.Search(len(beats), func(i int) bool { return beats[i].ms > after })
	sum, n := 0.0, 0.0
	for ; i < len(beats) && beats[i].ms <= until; i++ {
		sum += beats[i].bpm
		n++
	}
	return sum / n // 0/0 is NaN
}
