package recording_test

import (
	"math"
	"testing"
	"time"

	"boutwise/parsers/internal/parsertest"
	"boutwise/parsers/recording"
)

const minute = int64(60_000)

// part is a recording of samples at the minutes given.
func part(sport recording.Sport, minutes ...int64) *recording.Recording {
	r := &recording.Recording{Sport: sport, Totals: recording.NoTotals()}
	for _, m := range minutes {
		r.Samples.TimeMS = append(r.Samples.TimeMS, m*minute)
	}
	return r
}

// TestJoinWhich holds what is one outing: equal sport, within 15 minutes, one
// after the other.
func TestJoinWhich(t *testing.T) {
	indoors := part(recording.Cycling, 5)
	indoors.Indoor = true
	for _, c := range []struct {
		name  string
		parts []*recording.Recording
		want  [][]int64 // the minutes of each recording
	}{
		{"nothing", nil, nil},
		{"alone", []*recording.Recording{part(recording.Running, 0, 1)}, [][]int64{{0, 1}}},
		{"three in a row", []*recording.Recording{part(recording.Running, 0, 1), part(recording.Running, 2), part(recording.Running, 3)}, [][]int64{{0, 1, 2, 3}}},
		{"no gap", []*recording.Recording{part(recording.Running, 0, 1), part(recording.Running, 1, 2)}, [][]int64{{0, 1, 1, 2}}},
		{"15 minutes", []*recording.Recording{part(recording.Running, 0, 1), part(recording.Running, 16)}, [][]int64{{0, 1, 16}}},
		{"16 minutes", []*recording.Recording{part(recording.Running, 0, 1), part(recording.Running, 17)}, [][]int64{{0, 1}, {17}}},
		{"overlapping", []*recording.Recording{part(recording.Running, 0, 2), part(recording.Running, 1, 3)}, [][]int64{{0, 2}, {1, 3}}},
		{"a clock set back within", []*recording.Recording{part(recording.Running, 0, 9, 2), part(recording.Running, 3)}, [][]int64{{0, 9, 2}, {3}}},
		{"latest first", []*recording.Recording{part(recording.Running, 5), part(recording.Running, 0)}, [][]int64{{5}, {0}}},
		{"other sport", []*recording.Recording{part(recording.Cycling, 0), part(recording.Running, 1), part(recording.Cycling, 2)}, [][]int64{{0}, {1}, {2}}},
		{"no sport named", []*recording.Recording{part("", 0), part(recording.Cycling, 1), part("", 2), part(recording.Running, 3), part(recording.Other, 4)}, [][]int64{{0, 1, 2}, {3}, {4}}},
		{"indoors", []*recording.Recording{part(recording.Cycling, 4), indoors}, [][]int64{{4}, {5}}},
	} {
		var got [][]int64
		for _, r := range recording.Join(c.parts) {
			var minutes []int64
			for _, ms := range r.Samples.TimeMS {
				minutes = append(minutes, ms/minute)
			}
			got = append(got, minutes)
			if err := parsertest.Consistent(r); err != nil {
				t.Errorf("%s: %v", c.name, err)
			}
		}
		parsertest.Same(t, c.name, got, c.want)
	}
}

// TestJoinWhat holds what becomes of what two parts carry.
func TestJoinWhat(t *testing.T) {
	nan := math.NaN()
	offset := time.Hour
	rating := 4.0
	a, b := part(recording.Rowing, 0, 1), part(recording.Rowing, 3, 4)
	a.Samples.HeartRate = []float64{100, 101}
	a.Samples.Distance = []float64{10, 200}
	a.Samples.Altitude = []float64{5, 6}
	b.Samples.Altitude = []float64{7, 8}
	b.Samples.Power = []float64{210, 220}
	b.Samples.Distance = []float64{nan, 30}
	b.Samples.Position = &recording.Position{Latitude: []float64{1, 2}, Longitude: []float64{3, 4}}
	a.Laps = []recording.Lap{{EndMS: minute}}
	b.Laps = []recording.Lap{{StartMS: 3 * minute, EndMS: 4 * minute}}
	b.Pauses = []recording.Pause{{StartMS: 3 * minute, EndMS: 4 * minute}}
	a.Totals.MaxHR, b.UTCOffset, b.RatedExertion = 101, &offset, &rating
	b.Device = recording.Device{Name: "invented"}
	got := recording.Join([]*recording.Recording{a, b})[0]
	parsertest.Same(t, "joined", *got, recording.Recording{
		Sport: recording.Rowing, Device: recording.Device{Name: "invented"}, UTCOffset: &offset, RatedExertion: &rating,
		Samples: recording.Samples{
			TimeMS:    []int64{0, minute, 3 * minute, 4 * minute},
			HeartRate: []float64{100, 101, nan, nan},
			Altitude:  []float64{5, 6, 7, 8},
			Power:     []float64{nan, nan, 210, 220},
			Distance:  []float64{10, 200, nan, 230},
			Position:  &recording.Position{Latitude: []float64{nan, nan, 1, 2}, Longitude: []float64{nan, nan, 3, 4}},
		},
		Laps:   []recording.Lap{{EndMS: minute}, {StartMS: 3 * minute, EndMS: 4 * minute}},
		Pauses: []recording.Pause{{StartMS: minute, EndMS: 3 * minute}, {StartMS: 3 * minute, EndMS: 4 * minute}},
		Totals: recording.NoTotals(),
	})
	// A neighbour's sport is taken on.
	a, b = part("", 0), part(recording.Cycling, 1)
	b.Indoor = true
	ride := recording.Join([]*recording.Recording{a, b})[0]
	parsertest.Same(t, "sport", ride.Sport, recording.Cycling)
	parsertest.Same(t, "indoor", ride.Indoor, true)
	parsertest.Same(t, "sport of none", recording.Join([]*recording.Recording{part("", 0)})[0].Sport, recording.Other)
	// Distances that count through all parts stay.
	a, b = part(recording.Rowing, 0), part(recording.Rowing, 3)
	a.Samples.Distance, b.Samples.Distance = []float64{200}, []float64{200}
	parsertest.Same(t, "distance", recording.Join([]*recording.Recording{a, b})[0].Samples.Distance, []float64{200, 200})
}
