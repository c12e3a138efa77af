package metrics

import (
	"fmt"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"boutwise/testdata/checks"
)

func TestBand(t *testing.T) {
	edges := Edges{100, 120, 120, 150}
	tests := []struct {
		value float64
		want  int
	}{
		{99.999, -1}, {100, 0}, {119.999, 0},
		// Of two bands that start together the first is empty.
		{120, 2}, {149.999, 2}, {150, 3}, {1e9, 3}, {-5, -1},
	}
	for _, test := range tests {
		if got := edges.Band(test.value); got != test.want {
			t.Errorf("band of %v: %d, want %d", test.value, got, test.want)
		}
	}
	if got := (Edges)(nil).Band(120); got != -1 {
		t.Errorf("no edges: %d, want -1", got)
	}
}

func TestBandTime(t *testing.T) {
	column := []float64{90, 100, 100, missing, 119, 120, 200, missing}
	want := BandSeconds{Below: 1, Bands: []int{3, 2}}
	edges := Edges{100, 120}
	if diff := cmp.Diff(want, BandTime(column, edges)); diff != "" {
		t.Errorf("band time (-want +got):\n%s", diff)
	}
	if got := BandTime(nil, edges); got.Total() != 0 || len(got.Bands) != 2 {
		t.Errorf("nil column: %+v, want two empty bands", got)
	}
	if got := BandTime(column, nil); got.Below != 6 || got.Total() != 6 {
		t.Errorf("no edges: %+v, want all 6 s below", got)
	}
	keepsInput(t, "BandTime", column, func(c []float64) { BandTime(c, edges) })
}

func TestCountValues(t *testing.T) {
	column := []float64{120, missing, 100, 120, 100.5, 120}
	want := Counts{{100, 1}, {100.5, 1}, {120, 3}}
	if diff := cmp.Diff(want, CountValues(column)); diff != "" {
		t.Errorf("counts (-want +got):\n%s", diff)
	}
	if got := CountValues([]float64{missing}); len(got) != 0 {
		t.Errorf("nothing valid: %v, want none", got)
	}
	keepsInput(t, "CountValues", column, func(c []float64) { CountValues(c) })
}

func TestBandProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := drawColumn(t, "a", 60, 190)
		edges := Edges(rapid.SliceOfN(rapid.Float64Range(50, 200), 0, 6).Draw(t, "edges"))
		slices.Sort(edges)

		direct := BandTime(a, edges)
		if direct.Total() != countValid(a) {
			t.Fatalf("bands hold %d s of %d valid ones", direct.Total(), countValid(a))
		}
		if diff := cmp.Diff(direct, CountValues(a).BandTime(edges)); diff != "" {
			t.Fatalf("from counts (-column +counts):\n%s", diff)
		}
	})
}

// garber is the source of the category limits, read in later publications that
// quote its table.
const garber = "Garber et al. 2011 (ACSM), as quoted in BJSM table 116782 and PMC8581515"

func TestACSMCategories(t *testing.T) {
	reserve, maximal := ReserveEdges(60, 180), MaxHREdges(180)
	// The table's lower limits, for a maximal rate of 180 and a resting rate of
	// 60 bpm.
	tests := []struct {
		id, what  string
		want, got float64
	}{
		{"hrr-light", "light from 30 % of reserve, bpm", 96, reserve[Light]},
		{"hrr-moderate", "moderate from 40 % of reserve, bpm", 108, reserve[Moderate]},
		{"hrr-vigorous", "vigorous from 60 % of reserve, bpm", 132, reserve[Vigorous]},
		{"hrr-near-maximal", "near-maximal from 90 % of reserve, bpm", 168, reserve[NearMaximal]},
		{"max-light", "light from 57 % of maximum, bpm", 102.6, maximal[Light]},
		{"max-moderate", "moderate from 64 % of maximum, bpm", 115.2, maximal[Moderate]},
		{"max-vigorous", "vigorous from 77 % of maximum, bpm", 138.6, maximal[Vigorous]},
		{"max-near-maximal", "near-maximal from 96 % of maximum, bpm", 172.8, maximal[NearMaximal]},
	}
	for _, test := range tests {
		computed(t, "acsm-"+test.id, test.what, garber, checks.Published, test.want, 1e-12, test.got)
	}

	// 140 bpm is vigorous by both; 136 bpm only by reserve.
	for _, test := range []struct {
		hr               float64
		reserve, maximal int
	}{{140, Vigorous, Vigorous}, {136, Vigorous, Moderate}, {96, Light, VeryLight}, {40, VeryLight, VeryLight}} {
		at := fmt.Sprintf("%v bpm of 180, rest 60: category, very light 0, by ", test.hr)
		computed(t, fmt.Sprintf("acsm-%v-reserve", test.hr), at+"reserve", garber, checks.Published,
			float64(test.reserve), 0, float64(reserve.Band(test.hr)))
		computed(t, fmt.Sprintf("acsm-%v-maximum", test.hr), at+"maximum", garber, checks.Published,
			float64(test.maximal), 0, float64(maximal.Band(test.hr)))
	}
}

func TestCategoriesWithoutMeasurements(t *testing.T) {
	for name, edges := range map[string]Edges{
		"no resting rate":           ReserveEdges(missing, 180),
		"no maximal rate":           ReserveEdges(60, missing),
		"maximum below rest":        ReserveEdges(60, 50),
		"no maximal rate, by it":    MaxHREdges(missing),
		"maximal rate of 0, by it ": MaxHREdges(0),
	} {
		if edges != nil {
			t.Errorf("%s: %v, want nil", name, edges)
		}
	}
}
