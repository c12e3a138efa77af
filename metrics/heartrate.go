package metrics

import "math"

// TanakaMaxHR is the maximal heart rate in bpm to be expected at an age in
// years: 208 − 0.7·age (Tanaka H, Monahan KD, Seals DR, J Am Coll Cardiol
// 2001;37:153–156, read in later publications). People of one age scatter by
// about 10 bpm around it: what rests on it is an estimate and must say so.
func TanakaMaxHR(age float64) float64 { return 208 - 0.7*age }

// TanakaSD is the scatter of maximal heart rate around [TanakaMaxHR], in bpm
// (from memory).
const TanakaSD = 10

// KarvonenTarget is the heart rate in bpm at a percentage of heart-rate
// reserve: rest + pct·(max − rest)/100 (Karvonen MJ et al., Ann Med Exp Biol
// Fenn 1957;35:307–315, from memory). NaN unless max lies above rest.
func KarvonenTarget(restHR, maxHR, pct float64) float64 {
	if !(maxHR > restHR) {
		return math.NaN()
	}
	// Multiplying first keeps whole-number targets exact, so that a heart rate
	// equal to an edge falls on the right side of it.
	return restHR + pct*(maxHR-restHR)/100
}

// nearMaxPct is the share of maximal heart rate from which a second counts as
// near-maximal: the lower end of the target in published 4 × 4 minute protocols
// (Helgerud J et al., Med Sci Sports Exerc 2007;39:665–671: 90–95 %).
const nearMaxPct = 90

// NearMaxSeconds counts the seconds at or above 90 % of maximal heart rate. It
// takes counts so that a late measurement of the maximal rate needs no trace.
// NaN without a maximal rate or without a valid second.
func NearMaxSeconds(hr Counts, maxHR float64) float64 {
	if !(maxHR > 0) || len(hr) == 0 {
		return math.NaN()
	}
	threshold := nearMaxPct * maxHR / 100
	seconds := 0
	for _, c := range hr {
		if c.Value >= threshold {
			seconds += c.Seconds
		}
	}
	return float64(seconds)
}

// HRAtThreeQuarters is the mean heart rate over the 10 s centred on three
// quarters of the bout, when it has settled but the end has not yet told on
// it. NaN with fewer than half the 10 s valid.
func HRAtThreeQuarters(hr []float64, bout Stretch) float64 {
	centre := bout.Start + 0.75*bout.Duration()
	start := math.Round(centre - 5)
	return meanOfHalf(Stretch{start, start + 10}.Of(hr))
}
