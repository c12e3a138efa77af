package demo

import (
	"math"
	"math/rand/v2"
	"sort"

	"boutwise/metrics/synthetic"
	"boutwise/parsers/recording"
)

// route is a closed loop in open country, invented: a circle with lobes, and
// an altitude that rises and falls once around it.
type route struct {
	latitude, longitude float64 // degrees, of the middle
	radius              float64 // m
	lobes               float64 // how many bulges
	bulge               float64 // as a fraction of the radius
	altitude, hills     float64 // m: the mean, and half the difference between top and bottom
}

// The loops of the practice.
var (
	meadow   = route{latitude: -44.062, longitude: 171.418, radius: 340, lobes: 3, bulge: 0.12, altitude: 214, hills: 2}
	parkland = route{latitude: -44.318, longitude: 171.127, radius: 420, lobes: 2, bulge: 0.20}
	valley   = route{latitude: -44.541, longitude: 170.902, radius: 1900, lobes: 4, bulge: 0.10, altitude: 148, hills: 16}
)

// metresPerDegree is the length of one degree of latitude, near enough for a
// loop of some kilometres (a sphere of 6371 km).
const metresPerDegree = 6371008.8 * math.Pi / 180

// corners is how finely a loop is drawn.
const corners = 720

// fixNoise is how far a satellite fix wanders sideways, in metres. It wanders
// slowly, which is why speed from positions is as good as it is.
var fixNoise = synthetic.AR1{SD: 0.9, TimeConstant: 90}

// follow adds the position for the distance covered.
func (r route) follow(s *recording.Samples, rng *rand.Rand) {
	x, y, along := r.draw()
	n := len(s.Distance)
	east, north := fixNoise.Series(rng, n), fixNoise.Series(rng, n)
	s.Position = &recording.Position{Latitude: make([]float64, n), Longitude: make([]float64, n)}
	narrow := math.Cos(r.latitude * math.Pi / 180)
	for i, d := range s.Distance {
		d = math.Mod(d, along[corners])
		k := min(corners-1, sort.SearchFloat64s(along[1:], d))
		f := (d - along[k]) / (along[k+1] - along[k])
		px := x[k] + f*(x[k+1]-x[k]) + east[i]
		py := y[k] + f*(y[k+1]-y[k]) + north[i]
		// Seven decimals are a centimetre: about as fine as any device writes.
		s.Position.Latitude[i] = round(r.latitude+py/metresPerDegree, 1e-7)
		s.Position.Longitude[i] = round(r.longitude+px/(metresPerDegree*narrow), 1e-7)
	}
}

// climb adds the altitude for the distance covered, and returns the grade in
// percent.
func (r route) climb(s *recording.Samples) []float64 {
	_, _, along := r.draw()
	s.Altitude = make([]float64, len(s.Distance))
	grade := make([]float64, len(s.Distance))
	for i, d := range s.Distance {
		turn := 2 * math.Pi / along[corners]
		// A fifth of a metre is the finest step of the FIT format.
		s.Altitude[i] = round(r.altitude+r.hills*math.Sin(turn*d), 0.2)
		grade[i] = 100 * r.hills * turn * math.Cos(turn*d)
	}
	return grade
}

// draw returns the loop's corners in metres from its middle, the first one
// repeated at the end, and the distance along it at each.
func (r route) draw() (x, y, along []float64) {
	x, y, along = make([]float64, corners+1), make([]float64, corners+1), make([]float64, corners+1)
	for i := range x {
		a := 2 * math.Pi * float64(i) / corners
		radius := r.radius * (1 + r.bulge*math.Sin(r.lobes*a))
		x[i], y[i] = radius*math.Cos(a), radius*math.Sin(a)
		if i > 0 {
			along[i] = along[i-1] + math.Hypot(x[i]-x[i-1], y[i]-y[i-1])
		}
	}
	return x, y, along
}
