package bouts

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// ones are weights that count every second.
func ones(n int) []float64 {
	w := make([]float64, n)
	for i := range w {
		w[i] = 1
	}
	return w
}

// everywhere lets a segment end after any of n blocks.
func everywhere(n int) []int {
	places := make([]int, n)
	for k := range places {
		places[k] = k + 1
	}
	return places
}

// exhaustive is optimal partitioning without any pruning, straight from its
// recursion, as the yardstick.
func exhaustive(b blocks, penalty float64, shortest, longest int) float64 {
	best := make([]float64, b.n+1)
	for j := 1; j <= b.n; j++ {
		best[j] = math.Inf(1)
		for i := max(0, j-longest); i <= j-shortest; i++ {
			best[j] = min(best[j], best[i]+b.cost(i, j)+penalty)
		}
	}
	return best[b.n]
}

// total is what a partition costs.
func total(b blocks, ends []int, penalty float64) float64 {
	sum, a := 0.0, 0
	for _, e := range ends {
		sum += b.cost(a, e) + penalty
		a = e
	}
	return sum
}

// Killick, Fearnhead and Eckley 2012: pruning leaves the optimum as it is.
func TestPartitionEqualsExhaustive(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(8, 90).Draw(t, "n")
		levels := rapid.SliceOfN(rapid.Float64Range(0, 300), n, n).Draw(t, "levels")
		y, w := make([]float64, n), ones(n)
		run := rapid.IntRange(1, 12).Draw(t, "run")
		for i := range y {
			// Runs of one level with some wobble, and some seconds missing.
			y[i] = levels[i/run] + float64(i%3)
			if rapid.IntRange(0, 9).Draw(t, "missing") == 0 {
				w[i] = 0
			}
		}
		penalty := rapid.Float64Range(0.1, 20000).Draw(t, "penalty")
		shortest := rapid.IntRange(1, 4).Draw(t, "shortest")
		longest := rapid.IntRange(2*shortest, 60).Draw(t, "longest")
		b := newBlocks(y, w, 1)
		ends := b.partition(penalty, shortest, longest, everywhere(b.n))
		got, want := total(b, ends, penalty), exhaustive(b, penalty, shortest, longest)
		if math.Abs(got-want) > 1e-6*(1+math.Abs(want)) {
			t.Fatalf("partition %v costs %v, the optimum is %v", ends, got, want)
		}
		a := 0
		for _, e := range ends {
			if e-a < shortest || e-a > longest {
				t.Fatalf("segment of %d blocks, want %d to %d", e-a, shortest, longest)
			}
			a = e
		}
	})
}

// nile is the annual flow of the Nile at Aswan, 1871 to 1970, in 1e8 cubic
// metres (Cobb 1978, Biometrika 65:243, Table 1).
var nile = []float64{
	1120, 1160, 963, 1210, 1160, 1160, 813, 1230, 1370, 1140, 995, 935, 1110, 994, 1020, 960, 1180, 799, 958, 1140,
	1100, 1210, 1150, 1250, 1260, 1220, 1030, 1100, 774, 840, 874, 694, 940, 833, 701, 916, 692, 1020, 1050, 969,
	831, 726, 456, 824, 702, 1120, 1100, 832, 764, 821, 768, 845, 864, 862, 698, 845, 744, 796, 1040, 759,
	781, 865, 845, 944, 984, 897, 822, 1010, 771, 676, 649, 846, 812, 742, 801, 1040, 860, 874, 848, 890,
	744, 749, 838, 1050, 918, 986, 797, 923, 975, 815, 1020, 906, 901, 1170, 912, 746, 919, 718, 714, 740,
}

// The change of the Nile's flow after observation 28 (1898) is the one that
// strucchange and Cobb 1978 report; the penalties are 2, 3 and 4 variances
// times ln n, with the standard deviation of 127.674 within segments.
func TestPartitionOfTheNile(t *testing.T) {
	sum := 0.0
	for _, v := range nile {
		sum += v
	}
	if len(nile) != 100 || sum != 91935 {
		t.Fatalf("%d values with sum %v, want 100 and 91935", len(nile), sum)
	}
	b := newBlocks(nile, ones(100), 1)
	for _, c := range []float64{2, 3, 4} {
		got := b.partition(c*127.674*127.674*math.Log(100), 1, 100, everywhere(b.n))
		if diff := cmp.Diff([]int{28, 100}, got); diff != "" {
			t.Errorf("penalty of %v: segments end differently (-want +got)\n%s", c, diff)
		}
	}
	// Its published residual sums of squares without and with the change.
	if got := b.cost(0, 100); math.Abs(got-2835156.75) > 1e-6 {
		t.Errorf("cost of the whole %v, want 2835156.75", got)
	}
	if got := b.cost(0, 28) + b.cost(28, 100); math.Abs(got-1597457.1944) > 1e-3 {
		t.Errorf("cost with the change %v, want 1597457.1944", got)
	}
}

// Looking at likely places only must cost next to nothing of the fit, and rise
// to the end.
func TestPlacesKeepTheFit(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 1))
	for range 20 {
		n := 200 + rng.IntN(600)
		y := make([]float64, n)
		level, since := 100.0, 0
		for i := range y {
			// What is shorter than a segment has no good place.
			if since++; since > 12 && rng.Float64() < 0.02 {
				level, since = 60+200*rng.Float64(), 0
			}
			y[i] = level * (1 + 0.08*rng.NormFloat64())
		}
		b := newBlocks(y, ones(n), 1)
		places := b.places()
		if !slices.IsSorted(places) || places[len(places)-1] != n {
			t.Fatalf("places %v", places)
		}
		const penalty = 3000
		all, some := total(b, b.partition(penalty, 6, 300, everywhere(b.n)), penalty), total(b, b.partition(penalty, 6, 300, places), penalty)
		if some > 1.03*all {
			t.Errorf("the fit at %d of %d places costs %.0f, the best one %.0f", len(places), n, some, all)
		}
	}
	flat := newBlocks(make([]float64, 500), ones(500), 1)
	if got := len(flat.places()); got > 60 {
		t.Errorf("%d places where nothing changes", got)
	}
}

func TestPartitionEdges(t *testing.T) {
	tests := []struct {
		name string
		y, w []float64
		want []int
	}{
		{"empty", nil, nil, nil},
		{"one", []float64{1}, ones(1), []int{1}},
		{"shorter than two segments", []float64{1, 1, 9, 9, 9}, ones(5), []int{5}},
		{"a step", []float64{1, 1, 1, 9, 9, 9}, ones(6), []int{3, 6}},
		{"nothing weighs", []float64{1, 1, 1, 9, 9, 9}, make([]float64, 6), []int{6}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			b := newBlocks(tt.y, tt.w, 1)
			got := b.partition(1, 3, 100, everywhere(b.n))
			if diff := cmp.Diff(tt.want, got); diff != "" {
				t.Errorf("ends differ (-want +got)\n%s", diff)
			}
		})
	}
}

func TestBlocksLeaveMissingOut(t *testing.T) {
	b := newBlocks([]float64{10, 99, 20, 30, 40}, []float64{1, 0, 1, 1, 1}, 2)
	if got := b.mean(0, 1); got != 10 {
		t.Errorf("mean of the first block %v, want 10", got)
	}
	// 10, 20, 30 and 40 without the 99.
	if got := b.mean(0, 3); got != 25 {
		t.Errorf("mean %v, want 25", got)
	}
	if got := newBlocks([]float64{1, 2}, []float64{0, 0}, 2).mean(0, 1); !math.IsNaN(got) {
		t.Errorf("mean of nothing %v, want NaN", got)
	}
}

// noisy is n seconds of level with autocorrelated noise; the test package of
// the generator cannot be used from inside.
func noisy(seed uint64, n int, level, sd, timeConstant float64) []float64 {
	rng := rand.New(rand.NewPCG(seed, 1))
	phi := math.Exp(-1 / timeConstant)
	e := sd * rng.NormFloat64()
	x := make([]float64, n)
	for i := range x {
		x[i] = level + e
		e = phi*e + sd*math.Sqrt(1-phi*phi)*rng.NormFloat64()
	}
	return x
}

// The long-run variance of first-order noise is its variance times
// (1 + phi)/(1 - phi).
func TestNoiseOfAKnownProcess(t *testing.T) {
	const sd, timeConstant = 12.0, 4.0
	phi := math.Exp(-1 / timeConstant)
	want := sd * sd * (1 + phi) / (1 - phi)
	for seed := range uint64(5) {
		y := noisy(seed, 3600, 200, sd, timeConstant)
		// A step does not count as noise.
		for i := 1800; i < len(y); i++ {
			y[i] += 100
		}
		f := newFit(series{y: y, w: ones(len(y)), own: make([]bool, len(y)), stopped: make([]bool, len(y))})
		// It is judged from below: steps that follow the noise leave less.
		if ratio := f.noise / want; ratio < 0.3 || ratio > 1.3 {
			t.Errorf("seed %d: noise %.0f, want about %.0f", seed, f.noise, want)
		}
	}
}
