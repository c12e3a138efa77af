package motion

import (
	"math"
	"math/rand/v2"
	"testing"

	"boutwise/parsers/recording"
	"boutwise/testdata/checks"
)

// TestHaversine checks published distances: Nashville to Los Angeles, which was
// published for another radius, is scaled to ours.
func TestHaversine(t *testing.T) {
	const ellipsoid = "GeographicLib 2, WGS 84"
	for _, c := range []struct {
		name, source           string
		class                  checks.Class
		lat1, lon1, lat2, lon2 float64
		want, tolerance        float64
	}{
		{"Lyon to Paris", "a general haversine library's README, R 6371.0088 km", checks.ReferenceLibrary,
			45.7597, 4.8422, 48.8567, 2.3508, 392217.2595594, 1e-6},
		{"Nashville to Los Angeles", "Rosetta Code, R 6372.8 km, scaled", checks.Published,
			36.12, -86.67, 33.94, -118.40, 2887259.9506071 * EarthRadiusM / 6372800, 1e-4},
		// A sphere against the ellipsoid: the radii of curvature differ.
		{"1e-4° of latitude at 45° N", ellipsoid, checks.ReferenceLibrary, 45, 8, 45.0001, 8, 11.113178, 0.003 * 11.11},
		{"1e-4° of longitude at 45° N", ellipsoid, checks.ReferenceLibrary, 45, 8, 45, 8.0001, 7.884684, 0.003 * 7.88},
		{"Flinders Peak to Buninyong", ellipsoid + "; the line of Australia's geodetic manual (from memory)", checks.ReferenceLibrary,
			-37.95103341666667, 144.42486788888889, -37.65282113888889, 143.92649552777778, 54972.27114, 0.003 * 54972},
	} {
		checks.Near(t, checks.Check{ID: "haversine-" + c.name, What: "distance, " + c.name + ", m", Source: c.source,
			Class: c.class, Want: c.want, Tol: c.tolerance}, Haversine(c.lat1, c.lon1, c.lat2, c.lon2))
	}
	for _, c := range []struct {
		name                   string
		lat1, lon1, lat2, lon2 float64
		want, tolerance        float64
	}{
		{"latitude step", 45, 8, 45.0001, 8, 11.119508, 1e-6},
		{"longitude step", 45, 8, 45, 8.0001, 7.862680, 1e-6},
		{"nowhere", 45, 8, 45, 8, 0, 0},
		{"antipodes", 0, 0, 0, 180, math.Pi * EarthRadiusM, 1e-3},
	} {
		if got := Haversine(c.lat1, c.lon1, c.lat2, c.lon2); math.Abs(got-c.want) > c.tolerance {
			t.Errorf("%s: %v m, want %v", c.name, got, c.want)
		}
	}
	if !math.IsNaN(Haversine(math.NaN(), 8, 45, 8)) {
		t.Error("a missing position gave a distance")
	}
}

// walkNorth gives positions at 1 Hz along a meridian for speeds in m/s.
func walkNorth(speeds []float64) recording.Samples {
	s := recording.Samples{Position: &recording.Position{}}
	lat := 47.0
	for i, v := range speeds {
		s.TimeMS = append(s.TimeMS, int64(i)*1000)
		s.Position.Latitude = append(s.Position.Latitude, lat)
		s.Position.Longitude = append(s.Position.Longitude, 8)
		lat += v / EarthRadiusM * 180 / math.Pi
	}
	return s
}

// TestStepEdge holds the edge of a step where it is: half the step at the step,
// all of it 2 s on either side.
func TestStepEdge(t *testing.T) {
	speeds := make([]float64, 60)
	for i := range speeds {
		speeds[i] = 2
		if i >= 30 {
			speeds[i] = 4
		}
	}
	s := walkNorth(speeds)
	Complete(&s, nil)
	for i, v := range s.Speed {
		want := 2 + 2*math.Min(math.Max(float64(i-28)/4, 0), 1)
		if math.Abs(v-want) > 1e-6 {
			t.Errorf("speed %v at %d s, want %v", v, i, want)
		}
	}
	if want := 30*2 + 29*4.0; math.Abs(s.Distance[59]-want) > 1e-6 {
		t.Errorf("distance %v, want %v", s.Distance[59], want)
	}
}

// TestNoise: independent errors of 0.5 m a fix give a quarter of the speed
// noise of neighbouring differences, sqrt(2)*0.5/4 = 0.18 m/s.
func TestNoise(t *testing.T) {
	speeds := make([]float64, 4000)
	for i := range speeds {
		speeds[i] = 3
	}
	s := walkNorth(speeds)
	rng := rand.New(rand.NewPCG(1, 1))
	for i := range s.Position.Latitude {
		s.Position.Latitude[i] += rng.NormFloat64() * 0.5 / EarthRadiusM * 180 / math.Pi
	}
	Complete(&s, nil)
	sum := 0.0
	for _, v := range s.Speed[2 : len(s.Speed)-2] {
		sum += (v - 3) * (v - 3)
	}
	if sd, want := math.Sqrt(sum/float64(len(s.Speed)-4)), math.Sqrt2*0.5/4; math.Abs(sd-want) > 0.02 {
		t.Errorf("noise %v m/s, want %v", sd, want)
	}
}

func TestSpeedGaps(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		name    string
		seconds []int64
		dist    []float64
		starts  []int
		want    []float64
	}{
		{"none", nil, nil, nil, nil},
		{"one", []int64{0}, []float64{0}, nil, []float64{nan}},
		{"sparse", []int64{0, 5, 10}, []float64{0, 10, 30}, nil, []float64{2, 3, 4}},
		{"a leap", []int64{0, 1, 100, 101}, []float64{0, 2, 400, 403}, nil, []float64{2, 2, 3, 3}},
		{"a pause", []int64{0, 1, 9, 10}, []float64{0, 2, 4, 7}, []int{2}, []float64{2, 2, 3, 3}},
		{"time stands still", []int64{0, 0}, []float64{0, 2}, nil, []float64{nan, nan}},
		{"time steps back", []int64{5, 6, 0, 1}, []float64{0, 2, 4, 7}, nil, []float64{2, 2, 3, 3}},
		{"distance is reset", []int64{0, 1}, []float64{9, 2}, nil, []float64{nan, nan}},
		{"distance is missing", []int64{0, 1}, []float64{9, nan}, nil, []float64{nan, nan}},
	} {
		ms := make([]int64, len(c.seconds))
		for i, s := range c.seconds {
			ms[i] = 1000 * s
		}
		got := Speed(ms, c.starts, func(i, j int) float64 { return c.dist[j] - c.dist[i] })
		for i := range c.want {
			if got[i] != c.want[i] && !(math.IsNaN(got[i]) && math.IsNaN(c.want[i])) {
				t.Errorf("%s: %v, want %v", c.name, got, c.want)
				break
			}
		}
	}
}

// TestCompleteLeavesAlone: what the device wrote is not touched.
func TestCompleteLeavesAlone(t *testing.T) {
	s := walkNorth([]float64{1, 1, 1})
	s.Speed, s.Distance = []float64{9, 9, 9}, []float64{0, 9, 18}
	Complete(&s, nil)
	if s.Speed[1] != 9 || s.Distance[1] != 9 {
		t.Errorf("speed %v, distance %v", s.Speed, s.Distance)
	}
	bare := recording.Samples{TimeMS: []int64{0, 1000}}
	Complete(&bare, nil)
	if bare.Speed != nil || bare.Distance != nil {
		t.Error("something came from nothing")
	}
}

// Over the line where 180 degrees east become 180 west a step is as long as
// anywhere else on its parallel, and so are speed and distance.
func TestAcrossTheDateLine(t *testing.T) {
	const step = 0.0001
	here, there := Haversine(-16.5, 10, -16.5, 10+step), Haversine(-16.5, 180-step/2, -16.5, -180+step/2)
	if math.Abs(here-there) > 1e-6 || here < 10 || here > 11.2 {
		t.Errorf("%g m over the line, %g m elsewhere", there, here)
	}
	n := 40
	s := recording.Samples{Position: &recording.Position{}}
	for i := range n {
		s.TimeMS = append(s.TimeMS, int64(i)*1000)
		s.Position.Latitude = append(s.Position.Latitude, -16.5)
		s.Position.Longitude = append(s.Position.Longitude, math.Remainder(180+step*float64(i-n/2), 360))
	}
	Complete(&s, nil)
	if got := s.Distance[n-1]; math.Abs(got-float64(n-1)*here) > 1e-3 {
		t.Errorf("%g m, want %g", got, float64(n-1)*here)
	}
	for i, v := range s.Speed {
		if math.Abs(v-here) > 1e-4 {
			t.Errorf("second %d: %g m/s, want %g", i, v, here)
		}
	}
}

// A device indoors writes positions that stand still, or a few from before the
// door, beside a distance that counts on. Speed is then that of the distance;
// where positions move as they should it is theirs.
func TestPositionsThatTellLess(t *testing.T) {
	steps := make([]float64, 60)
	for i := range steps {
		steps[i] = 2
	}
	speedOf := func(change func(i int, lat, lon *float64)) float64 {
		s := walkNorth(steps)
		s.Distance = make([]float64, len(s.TimeMS))
		for i := range s.Distance {
			s.Distance[i] = 3 * float64(i)
			change(i, &s.Position.Latitude[i], &s.Position.Longitude[i])
		}
		Complete(&s, nil)
		return s.Speed[30]
	}
	still := func(_ int, lat, lon *float64) { *lat, *lon = 47, 8 }
	few := func(i int, lat, lon *float64) {
		if i%5 == 0 {
			*lat, *lon = math.NaN(), math.NaN()
		}
	}
	for _, tt := range []struct {
		name   string
		change func(i int, lat, lon *float64)
		want   float64
	}{{"as they should", func(int, *float64, *float64) {}, 2}, {"standing still", still, 3}, {"four in five", few, 3}} {
		if got := speedOf(tt.change); math.Abs(got-tt.want) > 0.01 {
			t.Errorf("%s: %g m/s, want %g", tt.name, got, tt.want)
		}
	}
}
