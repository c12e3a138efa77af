package metrics

import (
	"encoding/binary"
	"errors"
	"math"
	"slices"
)

// Count is a value and the number of seconds at exactly that value.
type Count struct {
	Value   float64
	Seconds int
}

// Counts is a column reduced to its distinct values, ascending, each with its
// seconds. A trace holds whole multiples of a small step (1 bpm, 1 W,
// 0.001 m/s), so the values repeat and the reduction loses nothing that band
// time or a training impulse needs: both can be had anew from it after a
// change of bands or of a client's measurements, without the trace.
type Counts []Count

// countSteps are the steps to the unit that traces hold their values in.
var countSteps = [...]float64{1, 1000}

// maxHistogram is the widest range of steps that is counted in a table. Wider
// ones, which no body and no machine gives, are sorted.
const maxHistogram = 1 << 16

// CountValues reduces a column to its counts; NaN is left out.
func CountValues(values []float64) Counts {
	for _, perUnit := range countSteps {
		if counts, ok := histogram(values, perUnit); ok {
			return counts
		}
	}
	sorted := make([]float64, 0, len(values))
	for _, v := range values {
		if !math.IsNaN(v) {
			sorted = append(sorted, v)
		}
	}
	slices.Sort(sorted)
	var counts Counts
	for _, v := range sorted {
		if last := len(counts) - 1; last >= 0 && counts[last].Value == v {
			counts[last].Seconds++
		} else {
			counts = append(counts, Count{v, 1})
		}
	}
	return counts
}

// histogram counts values that are whole multiples of 1/perUnit. ok is false
// for a column with any other value, or with too wide a range.
func histogram(values []float64, perUnit float64) (counts Counts, ok bool) {
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range values {
		// Comparisons with NaN are false, which leaves it out.
		if v < low {
			low = v
		}
		if v > high {
			high = v
		}
	}
	if low > high {
		return nil, true
	}
	first := math.Round(low * perUnit)
	width := math.Round(high*perUnit) - first
	if !(width < maxHistogram) {
		return nil, false
	}
	seconds := make([]int32, int(width)+1)
	for _, v := range values {
		if math.IsNaN(v) {
			continue
		}
		step := math.Round(v * perUnit)
		if step/perUnit != v {
			return nil, false
		}
		seconds[int(step-first)]++
	}
	distinct := 0
	for _, n := range seconds {
		if n > 0 {
			distinct++
		}
	}
	counts = make(Counts, 0, distinct)
	for k, n := range seconds {
		if n > 0 {
			counts = append(counts, Count{(first + float64(k)) / perUnit, int(n)})
		}
	}
	return counts, true
}

// Seconds is the number of valid seconds counted.
func (c Counts) Seconds() int {
	total := 0
	for _, count := range c {
		total += count.Seconds
	}
	return total
}

// BandTime is the time in each band; the same as [BandTime] of the column.
func (c Counts) BandTime(edges Edges) BandSeconds {
	time := BandSeconds{Bands: make([]int, len(edges))}
	for _, count := range c {
		time.add(edges, count.Value, count.Seconds)
	}
	return time
}

// rawValues marks packed counts whose values are no multiples of a known step:
// they are kept as they are, eight bytes each.
const rawValues = 0

// MarshalBinary packs counts into few bytes, exactly: the step, then for each
// value its distance from the one before, in steps, and its seconds, both as
// varints. An hour of heart rate takes some 150 bytes, of speed some 2 kB.
func (c Counts) MarshalBinary() ([]byte, error) {
	perUnit := c.perUnit()
	packed := binary.AppendUvarint(make([]byte, 0, 3*len(c)+4), uint64(perUnit))
	before := int64(0)
	for _, count := range c {
		if perUnit == rawValues {
			packed = binary.BigEndian.AppendUint64(packed, math.Float64bits(count.Value))
		} else {
			step := int64(math.Round(count.Value * perUnit))
			packed = binary.AppendVarint(packed, step-before)
			before = step
		}
		packed = binary.AppendUvarint(packed, uint64(count.Seconds))
	}
	return packed, nil
}

// perUnit is the coarsest known step that holds every value exactly; rawValues
// when none does.
func (c Counts) perUnit() float64 {
	for _, perUnit := range countSteps {
		whole := !slices.ContainsFunc(c, func(count Count) bool {
			step := math.Round(count.Value * perUnit)
			// Steps beyond 2^53 are not all told apart.
			return step/perUnit != count.Value || math.Abs(step) > 1<<53
		})
		if whole {
			return perUnit
		}
	}
	return rawValues
}

var errPacked = errors.New("metrics: damaged counts")

// UnmarshalBinary unpacks what [Counts.MarshalBinary] packed, into the room
// that c has.
func (c *Counts) UnmarshalBinary(packed []byte) error {
	unit, n := binary.Uvarint(packed)
	if n <= 0 {
		return errPacked
	}
	packed = packed[n:]
	perUnit := float64(unit)
	// A value takes two bytes at the least, which bounds the allocation.
	counts := slices.Grow((*c)[:0], len(packed)/2)
	step := int64(0)
	for len(packed) > 0 {
		var value float64
		if unit == rawValues {
			if len(packed) < 8 {
				return errPacked
			}
			value = math.Float64frombits(binary.BigEndian.Uint64(packed))
			packed = packed[8:]
		} else {
			delta, n := binary.Varint(packed)
			if n <= 0 {
				return errPacked
			}
			step += delta
			value, packed = float64(step)/perUnit, packed[n:]
		}
		seconds, n := binary.Uvarint(packed)
		if n <= 0 || seconds > math.MaxInt32 {
			return errPacked
		}
		counts = append(counts, Count{value, int(seconds)})
		packed = packed[n:]
	}
	*c = counts
	return nil
}
