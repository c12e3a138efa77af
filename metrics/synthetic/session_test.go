package synthetic

import (
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"boutwise/metrics/bouts"
)

func TestPlanIsCentredOnItsBoundaries(t *testing.T) {
	p := plan{}.hold(easy, 100.3, 100).work(60, 200, even).hold(easy, 99.7, 100)
	for _, edge := range []float64{0, 4} {
		out := p.render(edge)
		if len(out) != 260 {
			t.Fatalf("%d seconds, want 260", len(out))
		}
		// The work done over the rest is 60 s of 100 wherever the ramps lie.
		over := 0.0
		for _, v := range out {
			over += v - 100
		}
		if math.Abs(over-6000) > 30 {
			t.Errorf("edge %v: %.0f over the rest, want 6000", edge, over)
		}
		// Up to the boundary as much is missing as came too early.
		early := meanOver(out, 90, 100.3) - 100
		late := 200 - meanOver(out, 100.3, 110)
		if math.Abs(early*10.3-late*9.7) > 15 {
			t.Errorf("edge %v: %.1f too early, %.1f too late", edge, early*10.3, late*9.7)
		}
	}
	if got := p.spans(bout); len(got) != 1 || got[0] != [2]float64{100.3, 160.3} {
		t.Errorf("bouts %v, want [100.3 160.3]", got)
	}
}

func TestShapes(t *testing.T) {
	if v := fastStart(0.15)(0); math.Abs(v-1.15) > 1e-12 {
		t.Errorf("a fast start of 15 %% begins at %v", v)
	}
	if a, b := fade(0.16)(0), fade(0.16)(1); math.Abs(a-b-0.16) > 1e-12 {
		t.Errorf("a fade of 16 %% falls by %v", a-b)
	}
	if v := lateFade(0.3)(0.5); v != 1 {
		t.Errorf("a late fade has begun by half-way: %v", v)
	}
}

func TestSessionsRepeat(t *testing.T) {
	for _, sc := range Scenarios() {
		a, b := sc.Session(11), sc.Session(11)
		if diff := cmp.Diff(a, b, cmpopts.EquateNaNs()); diff != "" {
			t.Errorf("%s: one seed gives two sessions (-first +second)\n%s", sc.Name, diff)
		}
		if c := sc.Session(12); cmp.Equal(a.Samples, c.Samples, cmpopts.EquateNaNs()) {
			t.Errorf("%s: two seeds give one session", sc.Name)
		}
	}
}

func TestTruthIsConsistent(t *testing.T) {
	for _, sc := range Scenarios() {
		for seed := range uint64(10) {
			s := sc.Session(seed)
			if got := len(s.Truth) > 0; got != sc.Group.HasBouts() {
				t.Fatalf("%s seed %d: %d bouts", sc.Name, seed, len(s.Truth))
			}
			in := s.Input()
			if in.Values == nil {
				t.Fatalf("%s seed %d: no signal", sc.Name, seed)
			}
			previous := 0.0
			for k, b := range s.Truth {
				if b.Start < previous || b.End <= b.Start || b.End > float64(len(in.Values)) {
					t.Fatalf("%s seed %d: bout %d is [%v, %v) of %d s", sc.Name, seed, k, b.Start, b.End, len(in.Values))
				}
				quarters := (b.Quarters[0] + b.Quarters[1] + b.Quarters[2] + b.Quarters[3]) / 4
				if !(b.Mean > 0) || math.Abs(quarters-100) > 0.01 {
					t.Errorf("%s seed %d: mean %v, quarters average %v", sc.Name, seed, b.Mean, quarters)
				}
				previous = b.End
			}
		}
	}
}

// What the device shows of a bout is what was done in it, up to its own
// rounding, gaps and fixes.
func TestDeviceShowsWhatWasDone(t *testing.T) {
	for _, sc := range Scenarios() {
		if !sc.Group.HasBouts() || sc.Signal == bouts.HeartRate {
			continue
		}
		s := sc.Session(4)
		in := s.Input()
		for _, b := range s.Truth {
			seen, n := 0.0, 0.0
			for i := int(b.Start) + 2; i < int(b.End)-2; i++ {
				if !math.IsNaN(in.Values[i]) {
					seen += in.Values[i]
					n++
				}
			}
			if n == 0 || math.Abs(seen/n/b.Mean-1) > 0.12 {
				t.Errorf("%s: a bout of %.2f shows as %.2f", sc.Name, b.Mean, seen/n)
			}
		}
	}
}

func TestDevices(t *testing.T) {
	s := everySecond([]float64{100, 100, 100, 150, 150, 150, 150, 150, 150}, 1)
	if got := s.onChange(0.1, 4).Time; !slices.Equal(got, []int{0, 3, 7, 8}) {
		t.Errorf("on change keeps %v, want 0, the change, after 4 s, the end", got)
	}
	paused := s.paused(NewRand(1, 1), [][2]float64{{2, 6}}, 0)
	if !slices.Equal(paused.Time, []int{0, 1, 6, 7, 8}) {
		t.Errorf("paused keeps %v", paused.Time)
	}
	for k, gap := range s.sparse(NewRand(1, 1), 3).Time {
		if k > 0 && gap-s.Time[k-1] < 0 {
			t.Errorf("times run backwards at %d", k)
		}
	}
}

func TestStrapReadsWholeBeats(t *testing.T) {
	st := strap{noise: AR1{SD: 1, TimeConstant: 5}, dropouts: 20, spikes: 20}
	missing := 0
	for _, v := range st.read(NewRand(3, 3), constant(3600, 140)) {
		switch {
		case math.IsNaN(v):
			missing++
		case v != math.Round(v):
			t.Fatalf("a rate of %v", v)
		}
	}
	if missing == 0 {
		t.Error("twenty dropouts an hour and none in an hour")
	}
}
