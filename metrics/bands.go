package metrics

import (
	"math"
	"sort"
)

// Edges are the lower edges of a signal's bands, ascending, in the signal's
// own unit. Band k reaches from Edges[k] up to, and without, Edges[k+1]; the
// last has no upper end.
type Edges []float64

// Band is the index of the band that holds v; −1 below the first edge.
func (e Edges) Band(v float64) int {
	return sort.Search(len(e), func(k int) bool { return e[k] > v }) - 1
}

// BandSeconds is the time spent in each band.
type BandSeconds struct {
	Below int   // seconds below the first edge
	Bands []int // seconds in each band
}

// Total is the time in all bands and below: every second with a valid value.
func (b BandSeconds) Total() int {
	total := b.Below
	for _, seconds := range b.Bands {
		total += seconds
	}
	return total
}

// add counts seconds at a value.
func (b *BandSeconds) add(edges Edges, value float64, seconds int) {
	if k := edges.Band(value); k >= 0 {
		b.Bands[k] += seconds
	} else {
		b.Below += seconds
	}
}

// BandTime counts a column's seconds by band. NaN seconds count nowhere, so
// the total is the number of valid seconds.
func BandTime(values []float64, edges Edges) BandSeconds {
	time := BandSeconds{Bands: make([]int, len(edges))}
	for _, v := range values {
		if !math.IsNaN(v) {
			time.add(edges, v, 1)
		}
	}
	return time
}

// Category is an intensity category by name and lower edge in percent.
type Category struct {
	Name     string
	LowerPct float64
}

// Indices of the categories in [ReserveCategories] and [MaxHRCategories].
const (
	VeryLight = iota
	Light
	Moderate
	Vigorous
	NearMaximal
)

// ReserveCategories are the intensity categories of the American College of
// Sports Medicine by percent of heart-rate reserve, and MaxHRCategories by
// percent of maximal heart rate (Garber CE et al., Med Sci Sports Exerc
// 2011;43:1334–1359, read in later publications that quote its table). The
// source prints ranges of whole percents (30–39, 40–59, ...); closing the gaps
// between them by half-open bands is this program's choice.
var (
	ReserveCategories = [...]Category{
		{"very_light", 0}, {"light", 30}, {"moderate", 40}, {"vigorous", 60}, {"near_maximal", 90},
	}
	MaxHRCategories = [...]Category{
		{"very_light", 0}, {"light", 57}, {"moderate", 64}, {"vigorous", 77}, {"near_maximal", 96},
	}
)

// ReserveEdges are the categories' edges in bpm for a client, by heart-rate
// reserve. The lowest is 0, so that a rate below the resting rate is very
// light rather than outside. Without both rates they are nil.
func ReserveEdges(restHR, maxHR float64) Edges {
	if !(maxHR > restHR) {
		return nil
	}
	return categoryEdges(ReserveCategories[:], func(pct float64) float64 {
		return KarvonenTarget(restHR, maxHR, pct)
	})
}

// MaxHREdges are the categories' edges in bpm for a client, by maximal rate;
// nil without one.
func MaxHREdges(maxHR float64) Edges {
	if !(maxHR > 0) {
		return nil
	}
	return categoryEdges(MaxHRCategories[:], func(pct float64) float64 {
		return pct * maxHR / 100
	})
}

// categoryEdges turns percents into bpm, the lowest category starting at 0.
func categoryEdges(categories []Category, bpm func(pct float64) float64) Edges {
	edges := make(Edges, len(categories))
	for i, c := range categories[1:] {
		edges[i+1] = bpm(c.LowerPct)
	}
	return edges
}
