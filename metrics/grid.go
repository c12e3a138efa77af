package metrics

import (
	"math"
	"slices"
	"sort"
)

const (
	// maxSpanS is the longest session that is believed, in seconds. Where
	// first and last sample lie further apart, a clock was not yet set.
	maxSpanS = 48 * 3600
	// straySplitS is the gap, in seconds, at which such a recording is cut.
	straySplitS = 12 * 3600
)

// BuildTrace brings samples to the 1 Hz grid, cleaned. onFoot narrows the
// bounds of speed to what a person can walk or run.
//
// Time first: of samples whose clock ran backwards the largest set of instants
// in order is kept; samples of one second become their mean; a recording spread over
// more than two days is cut at its long gaps and its fullest piece kept. Then
// impossible values, spikes and frozen stretches become missing, and each
// channel is drawn to the grid by straight lines over gaps of at most
// [MaxBridge] seconds. A speed that was not written is the slope of the
// distance over 4 s.
//
// With no samples the trace has N = 0. The input is not modified.
func BuildTrace(in Columns, onFoot bool) (Trace, Repairs) {
	var rep Repairs
	kept, backward := longestInOrder(in.TimeMS)
	rep.Backward = backward
	kept, rep.Stray = fullestPiece(in.TimeMS, kept)
	if len(kept) == 0 {
		return Trace{}, rep
	}
	cols, chRep := cleanColumns(gather(in, kept), onFoot)
	rep.Channel = chRep

	start := cols.TimeMS[0]
	last := gridIndex(cols.TimeMS[len(cols.TimeMS)-1], start)
	tr := Trace{StartUnix: floorDiv(start, 1000), N: last + 1}
	tr.Observed, tr.Recorded = masks(cols.TimeMS, tr.N)
	for _, o := range tr.Observed {
		if o {
			rep.Duplicate--
		}
	}
	rep.Duplicate += len(cols.TimeMS)
	rep.BridgedS = countTrue(tr.Recorded) - countTrue(tr.Observed)
	rep.PausedS = tr.N - countTrue(tr.Recorded)
	for _, spec := range ChannelSpecs {
		col := *spec.Column(&cols.Channels)
		if col == nil {
			continue
		}
		if spec.Name == "longitude" {
			// Means and straight lines must not lead round the globe.
			*spec.Column(&tr.Channels) = quantise(wrapped(toGrid(cols.TimeMS, unwrapped(col), tr.N)), spec.PerUnit)
			continue
		}
		*spec.Column(&tr.Channels) = quantise(toGrid(cols.TimeMS, col, tr.N), spec.PerUnit)
	}
	if tr.Speed == nil && tr.Distance != nil {
		tr.Speed = quantise(slope(tr.Distance, tr.Recorded), 1000)
		// A distance that leaps gives a speed that nobody has.
		seen := countValid(tr.Speed)
		rep.Channel["speed"] = ChannelRepairs{Seen: seen, Impossible: dropImpossible(tr.Speed, 0, topSpeed(onFoot))}
	}
	return tr, rep
}

// gridIndex is the second nearest to t on the grid that begins at start.
func gridIndex(t, start int64) int { return int((t - start + 500) / 1000) }

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}

// longestInOrder gives the indices of a subsequence of times that never
// decreases and has the most different instants, and how many samples it
// leaves out. Were repeats to count, a sample that came late could push out
// another of which there is only one.
func longestInOrder(timeMS []int64) (kept []int, left int) {
	if slices.IsSorted(timeMS) {
		kept = make([]int, len(timeMS))
		for i := range kept {
			kept[i] = i
		}
		return kept, 0
	}
	// Patience: tails[k] ends the best subsequence of length k+1.
	tails := make([]int, 0, len(timeMS))
	prev := make([]int, len(timeMS))
	for i, t := range timeMS {
		k := sort.Search(len(tails), func(k int) bool { return timeMS[tails[k]] >= t })
		prev[i] = -1
		if k > 0 {
			prev[i] = tails[k-1]
		}
		if k == len(tails) {
			tails = append(tails, i)
		} else {
			tails[k] = i
		}
	}
	chain := make([]int, len(tails))
	for k, i := len(tails)-1, tails[len(tails)-1]; k >= 0; k-- {
		chain[k] = i
		i = prev[i]
	}
	kept = withRepeats(timeMS, chain)
	return kept, len(timeMS) - len(kept)
}

// withRepeats adds to a chain of rising times the samples in between that
// repeat the instant before or after them.
func withRepeats(timeMS []int64, chain []int) (kept []int) {
	next := 0
	for i, t := range timeMS {
		repeats := len(kept) > 0 && t == timeMS[kept[len(kept)-1]]
		if next < len(chain) && t == timeMS[chain[next]] {
			repeats = true
		}
		if repeats {
			kept = append(kept, i)
		}
		if next < len(chain) && i == chain[next] {
			next++
		}
	}
	return kept
}

// fullestPiece cuts a recording that spans more than maxSpanS at its gaps of
// straySplitS or more and gives the piece with most samples, and how many
// samples the others held. A piece that is itself too long is cut off.
func fullestPiece(timeMS []int64, kept []int) (piece []int, stray int) {
	if len(kept) == 0 || since(timeMS[kept[0]], timeMS[kept[len(kept)-1]]) <= maxSpanS*1000 {
		return kept, 0
	}
	best, from := kept[:0], 0
	for i := 1; i <= len(kept); i++ {
		if i < len(kept) && since(timeMS[kept[i-1]], timeMS[kept[i]]) < straySplitS*1000 {
			continue
		}
		if i-from > len(best) {
			best = kept[from:i]
		}
		from = i
	}
	n := sort.Search(len(best), func(i int) bool { return since(timeMS[best[0]], timeMS[best[i]]) > maxSpanS*1000 })
	return best[:n], len(kept) - n
}

// since is the time from a to a later b. Unsigned, it holds for any two
// instants, however wrong the clock that wrote them.
func since(a, b int64) uint64 { return uint64(b) - uint64(a) }

// gather copies the kept samples.
func gather(in Columns, kept []int) Columns {
	if len(kept) == len(in.TimeMS) {
		return in
	}
	out := Columns{TimeMS: make([]int64, len(kept))}
	for k, i := range kept {
		out.TimeMS[k] = in.TimeMS[i]
	}
	for _, spec := range ChannelSpecs {
		col := *spec.Column(&in.Channels)
		if col == nil {
			continue
		}
		picked := make([]float64, len(kept))
		for k, i := range kept {
			picked[k] = col[i]
		}
		*spec.Column(&out.Channels) = picked
	}
	return out
}

// masks tells which seconds hold a sample and which were being recorded.
func masks(timeMS []int64, n int) (observed, recorded []bool) {
	observed, recorded = make([]bool, n), make([]bool, n)
	prev := -1
	for _, t := range timeMS {
		i := gridIndex(t, timeMS[0])
		observed[i], recorded[i] = true, true
		if prev >= 0 && i-prev <= MaxBridge {
			for k := prev + 1; k < i; k++ {
				recorded[k] = true
			}
		}
		prev = i
	}
	return observed, recorded
}

// toGrid draws one column to the grid: the mean of the samples of a second,
// straight lines between seconds at most MaxBridge apart.
func toGrid(timeMS []int64, col []float64, n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = math.NaN()
	}
	prev, sum, count := -1, 0.0, 0
	flush := func(at int) {
		if count == 0 {
			return
		}
		out[at] = sum / float64(count)
		if prev >= 0 && at-prev > 1 && at-prev <= MaxBridge {
			step := (out[at] - out[prev]) / float64(at-prev)
			for k := prev + 1; k < at; k++ {
				out[k] = out[prev] + float64(step*float64(k-prev))
			}
		}
		prev, sum, count = at, 0, 0
	}
	at := 0
	for k, t := range timeMS {
		if i := gridIndex(t, timeMS[0]); i != at {
			flush(at)
			at = i
		}
		if v := col[k]; !math.IsNaN(v) {
			sum += v
			count++
		}
	}
	flush(at)
	return out
}

// unwrapped makes a longitude continuous over the line where 180 degrees east
// becomes 180 west: of the ways to write a meridian, each value is the one
// nearest to the value before it.
func unwrapped(longitude []float64) []float64 {
	out := make([]float64, len(longitude))
	before := math.NaN()
	for i, v := range longitude {
		if turns := math.Round((before - v) / 360); !math.IsNaN(turns) {
			v += 360 * turns
		}
		if out[i] = v; !math.IsNaN(v) {
			before = v
		}
	}
	return out
}

// wrapped brings a continuous longitude, in place, back to -180 to 180 degrees.
func wrapped(longitude []float64) []float64 {
	for i, v := range longitude {
		longitude[i] = math.Remainder(v, 360)
	}
	return longitude
}

// quantise rounds a column in place to whole numbers of 1/perUnit. Adding 0
// makes a negative zero, which whole steps cannot hold, a plain one.
func quantise(col []float64, perUnit float64) []float64 {
	for i, v := range col {
		col[i] = math.Round(v*perUnit)/perUnit + 0
	}
	return col
}

// slope is the change of a column a second, over the two seconds before and
// after, fewer at the ends of a recorded stretch; never negative.
func slope(col []float64, recorded []bool) []float64 {
	const reach = 2
	out := make([]float64, len(col))
	for i := range col {
		a, b := i, i
		for a > 0 && i-a < reach && recorded[a-1] && !math.IsNaN(col[a-1]) {
			a--
		}
		for b < len(col)-1 && b-i < reach && recorded[b+1] && !math.IsNaN(col[b+1]) {
			b++
		}
		if a == b || !recorded[i] {
			out[i] = math.NaN()
			continue
		}
		out[i] = math.Max(0, (col[b]-col[a])/float64(b-a))
	}
	return out
}
