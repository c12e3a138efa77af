// Package units writes speeds, distances and heights as people say them. The
// tables are in SI units throughout; this is for pages and the terminal. It is
// pure: a figure in, text out.
package units

import (
	"fmt"
	"math"
	"strconv"
)

// System is a practice's choice of units, as practice.toml spells it.
type System string

// The systems.
const (
	Metric   System = "metric"
	Imperial System = "imperial"
)

// Exact by definition: the international yard and pound agreement of 1959
// (NIST Special Publication 811, appendix B).
const (
	metresPerMile = 1609.344
	metresPerFoot = 0.3048
)

// slowestPace is the speed in m/s below which nobody speaks of a pace: an
// hour for a kilometre. Common practice, no source.
const slowestPace = 1000.0 / 3600

// Unit is what a figure is shown in: a linear unit, fit for an axis.
type Unit struct {
	Name   string
	Times  float64 // what a figure in SI units is multiplied by
	Digits int     // decimals that mean something to people
}

// Speed is the unit of a speed in m/s: km/h or mph.
func (s System) Speed() Unit {
	if s == Imperial {
		return Unit{"mph", 3600 / metresPerMile, 1}
	}
	return Unit{"km/h", 3.6, 1}
}

// Distance is the unit of a distance in m: km or mi.
func (s System) Distance() Unit {
	if s == Imperial {
		return Unit{"mi", 1 / metresPerMile, 2}
	}
	return Unit{"km", 0.001, 2}
}

// Height is the unit of an altitude in m: m or ft.
func (s System) Height() Unit {
	if s == Imperial {
		return Unit{"ft", 1 / metresPerFoot, 0}
	}
	return Unit{"m", 1, 0}
}

// Number writes a figure in SI units in the unit, without its name; "" when
// it is missing.
func (u Unit) Number(si float64) string {
	if math.IsNaN(si) || math.IsInf(si, 0) {
		return ""
	}
	return strconv.FormatFloat(si*u.Times, 'f', u.Digits, 64)
}

// PaceName is the unit of a pace: min/km or min/mi.
func (s System) PaceName() string { return "min/" + s.Distance().Name }

// Pace writes a speed in m/s as the minutes and seconds that a kilometre or a
// mile takes, as 5:42; "" when it is missing or too slow to be one.
func (s System) Pace(speed float64) string {
	if math.IsNaN(speed) || speed < slowestPace {
		return ""
	}
	seconds := int(math.Round(1 / (speed * s.Distance().Times)))
	return fmt.Sprintf("%d:%02d", seconds/60, seconds%60)
}

// OnFoot tells the sports in which people speak of pace, by the names in the
// sessions table; in all others they speak of speed.
func OnFoot(sport string) bool { return sport == "running" || sport == "walking" }
