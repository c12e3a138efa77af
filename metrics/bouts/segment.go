package bouts

import "math"

// blocks is a series cut into equal pieces, held as running sums so that the
// squared error of any stretch around its own mean takes constant time.
type blocks struct {
	n      int       // blocks
	weight []float64 // running sum of weights, n+1 long
	sum    []float64 // of weight times value
	square []float64 // of weight times value squared
}

// newBlocks gathers a series into blocks of size seconds; the last one may be
// shorter. A weight of 0 leaves a second out.
func newBlocks(y, w []float64, size int) blocks {
	n := (len(y) + size - 1) / size
	b := blocks{
		n:      n,
		weight: make([]float64, n+1),
		sum:    make([]float64, n+1),
		square: make([]float64, n+1),
	}
	for k := range n {
		sw, sy := 0.0, 0.0
		for i := k * size; i < min(len(y), (k+1)*size); i++ {
			if w[i] > 0 {
				sw += w[i]
				sy += w[i] * y[i]
			}
		}
		b.weight[k+1] = b.weight[k] + sw
		b.sum[k+1] = b.sum[k] + sy
		b.square[k+1] = b.square[k]
		if sw > 0 {
			b.square[k+1] += sy * sy / sw
		}
	}
	return b
}

// cost is the squared error of blocks [i, j) around their mean.
func (b blocks) cost(i, j int) float64 {
	w := b.weight[j] - b.weight[i]
	if w <= 0 {
		return 0
	}
	s := b.sum[j] - b.sum[i]
	// Rounding may leave a hair below nothing.
	return max(0, b.square[j]-b.square[i]-s*s/w)
}

// mean is the weighted mean of blocks [i, j), NaN when nothing weighs.
func (b blocks) mean(i, j int) float64 {
	w := b.weight[j] - b.weight[i]
	if w <= 0 {
		return math.NaN()
	}
	return (b.sum[j] - b.sum[i]) / w
}

// start is a candidate for where the last segment begins, with what its cost
// is made of.
type start struct {
	base        float64 // best cost before it, less the running squares there
	weight, sum float64 // running sums there
	cost        float64 // with the last segment up to the present end
	at          int32
	dead        int32 // first end at which it can no longer win; 0 while it may
}

const (
	// So many blocks on either side are compared to tell where a change may lie:
	// few for sharp ones, more for those in noise.
	shortReach, longReach = 2, 5

	// placeGap is the most blocks without a place.
	placeGap = 25
)

// places lists where a segment may end: where the output changes more than one
// block before and after, over a short or a long reach. Looking there only
// saves most of the work, and the boundaries of bouts are placed anew anyway.
func (b blocks) places() []int {
	places := make([]int, 0, b.n*2/3+2)
	gap := 0
	short, long := turning{reach: shortReach}, turning{reach: longReach}
	for k := 1; k < b.n; k++ {
		gap++
		// Both must look at every block.
		s, l := short.at(b, k), long.at(b, k)
		if s || l || gap >= placeGap {
			places = append(places, k)
			gap = 0
		}
	}
	return append(places, b.n)
}

// turning looks for the largest changes of their neighbourhoods, over some
// blocks on either side, one block after the other.
type turning struct {
	reach              int
	before, here, next float64 // changes at the last block asked for and its neighbours
}

// at tells whether the change at a block is one.
func (t *turning) at(b blocks, k int) bool {
	if k <= t.reach || k >= b.n-t.reach {
		return true
	}
	change := func(k int) float64 { return math.Abs(b.sum[k+t.reach] - 2*b.sum[k] + b.sum[k-t.reach]) }
	if k == t.reach+1 {
		t.here, t.next = change(k-1), change(k)
	}
	t.before, t.here, t.next = t.here, t.next, change(k+1)
	return t.here > 0 && t.here >= t.before && t.here >= t.next
}

// partition cuts the blocks into segments of at least shortest and at most
// longest blocks such that squared error plus penalty per segment is least,
// and returns where the segments end (the last one is b.n). They end at the
// places given, which rise to b.n. It is optimal partitioning with pruning
// (Killick, Fearnhead and Eckley 2012, J Am Stat Assoc 107:1590): a start that
// is beaten by more than its penalty at some point can never win again and is
// dropped. The bound on length keeps a day without a single change from taking
// quadratic time.
func (b blocks) partition(penalty float64, shortest, longest int, places []int) []int {
	if b.n == 0 {
		return nil
	}
	// A series shorter than two segments is one segment.
	if b.n < 2*shortest {
		return []int{b.n}
	}
	best := make([]float64, b.n+1) // least cost of blocks [0, j)
	from := make([]int, b.n+1)     // start of the last segment in it
	best[0] = -penalty
	starts := []start{{base: -penalty}}
	next := 0 // place that is not yet a start
	for _, j := range places {
		if j < shortest {
			best[j] = math.Inf(1)
			continue
		}
		for ; places[next] <= j-shortest; next++ {
			if i := places[next]; !math.IsInf(best[i], 1) {
				starts = append(starts, start{base: best[i] - b.square[i], weight: b.weight[i], sum: b.sum[i], at: int32(i)})
			}
		}
		// Starts are in order: those too far back come first.
		for len(starts) > 0 && j-int(starts[0].at) > longest {
			starts = starts[1:]
		}
		best[j], from[j] = b.last(starts, j)
		best[j] += penalty
		starts = prune(starts, best[j], j, shortest)
	}
	return ends(from, b.n)
}

// last finds the start of the best last segment that ends at j, and leaves
// what each start would cost in it.
func (b blocks) last(starts []start, j int) (float64, int) {
	wj, sj, qj := b.weight[j], b.sum[j], b.square[j]
	least, at := math.Inf(1), int32(0)
	for k := range starts {
		s := &starts[k]
		c := s.base + qj
		if w := wj - s.weight; w > 0 {
			d := sj - s.sum
			c -= d * d / w
		}
		s.cost = c
		if c < least {
			least, at = c, s.at
		}
	}
	return least, int(at)
}

// prune drops the starts that can no longer win, given the least cost up to j.
// The better start j serves only ends from j + shortest on; until then a
// beaten one may still be needed.
func prune(starts []start, least float64, j, shortest int) []start {
	kept := 0
	for k := range starts {
		s := &starts[k]
		if s.dead == 0 && s.cost > least {
			s.dead = int32(j + shortest)
		}
		if s.dead == 0 || j+1 < int(s.dead) {
			if kept != k {
				starts[kept] = *s
			}
			kept++
		}
	}
	return starts[:kept]
}

// ends reads the ends of the segments off the table of their starts.
func ends(from []int, n int) []int {
	count := 0
	for j := n; j > 0; j = from[j] {
		count++
	}
	out := make([]int, count)
	for j := n; j > 0; j = from[j] {
		count--
		out[count] = j
	}
	return out
}
