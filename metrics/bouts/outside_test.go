package bouts

import (
	"fmt"
	"math"
	"testing"

	"boutwise/testdata/checks"
)

// noisySeries is a series of whole numbers that any language can make again:
// a level and noise from −10 to 10. scripts/crosscheck makes the same.
func noisySeries(seed int64, level func(i int) int) []float64 {
	values := make([]float64, 240)
	for i := range values {
		seed = (1103515245*seed + 12345) % (1 << 31)
		values[i] = float64(level(i)) + float64((seed>>16)%21-10)
	}
	return values
}

// The break of the Nile's flow: Cobb 1978 and the documentation of R's data
// sets see it near 1898, and strucchange after observation 28, which is 1898.
func TestNileBreak(t *testing.T) {
	ends := newBlocks(nile, ones(len(nile)), 1).partition(2*127.674*127.674*math.Log(100), 1, len(nile), everywhere(len(nile)))
	if len(ends) != 2 {
		t.Fatalf("segments end at %v, want one break", ends)
	}
	checks.Near(t, checks.Check{
		ID: "nile-break", What: "Nile, annual flow 1871 to 1970: years before the break",
		Source: "Cobb 1978, table 1 (data); strucchange (break after 1898)", Class: checks.OpenData, Want: 28,
	}, float64(ends[0]))
}

// An exact search by another program ends its segments in the same places.
func TestPartitionsElsewhere(t *testing.T) {
	levels := []int{100, 160, 95, 170, 105, 140}
	series := map[string][]float64{
		"nile":   nile,
		"levels": noisySeries(1, func(i int) int { return levels[i/40] }),
		"bursts": noisySeries(2, func(i int) int { return 90 + 60*(i/15%2) }),
		"ramp":   noisySeries(3, func(i int) int { return i / 2 }),
		"noise":  noisySeries(4, func(int) int { return 120 }),
	}
	for _, test := range []struct {
		series  string
		penalty float64
		want    []int
	}{
		{"nile", 75000, []int{28, 37, 40, 45, 47, 83, 95, 100}},
		{"nile", 150000, []int{28, 100}},
		{"levels", 2000, []int{40, 80, 120, 160, 200, 240}},
		{"bursts", 2000, []int{15, 30, 45, 60, 75, 90, 105, 120, 135, 150, 165, 180, 195, 210, 225, 240}},
		{"ramp", 500, []int{11, 48, 69, 91, 106, 132, 167, 198, 225, 240}},
		{"ramp", 2000, []int{48, 91, 132, 167, 206, 240}},
		{"ramp", 8000, []int{68, 132, 196, 240}},
		{"noise", 2000, []int{240}},
	} {
		y := series[test.series]
		ends := newBlocks(y, ones(len(y)), 1).partition(test.penalty, 1, len(y), everywhere(len(y)))
		if len(ends) != len(test.want) {
			t.Errorf("%s, %v: segments end at %v, want %v", test.series, test.penalty, ends, test.want)
			continue
		}
		for i, end := range ends {
			checks.Near(t, checks.Check{
				ID:     fmt.Sprintf("partition %s %v end %d", test.series, test.penalty, i+1),
				What:   fmt.Sprintf("%s, %v a segment: end of segment %d", test.series, test.penalty, i+1),
				Source: "ruptures 1.1.10, Pelt, l2", Class: checks.ReferenceLibrary, Want: float64(test.want[i]),
			}, float64(end))
		}
	}
}
