// Package practice reads a practice folder's configuration into typed, dated
// facts: who the clients are, what was measured of them and when, which bands
// hold from which day on, what was prescribed, and the practice's settings.
//
// Reading is forgiving about form (a spreadsheet may write a byte-order mark,
// semicolons, decimal commas, trailing blanks, columns in any order) and
// strict about content: everything that is wrong is reported at once, each
// with file, row, column and remedy, and nothing is guessed.
package practice

import (
	"time"

	"boutwise/metrics"
	"boutwise/pipeline/calendar"
)

// Date is a calendar day.
type Date = calendar.Date

// DateOf is the calendar day of t in t's own location.
func DateOf(t time.Time) Date { return calendar.DateOf(t) }

// Sex selects sex-specific published constants; empty where not stated.
type Sex = metrics.Sex

// The values of [Sex] that clients.csv allows.
const (
	Female = metrics.Female
	Male   = metrics.Male
)

// Client is one row of clients.csv.
type Client struct {
	ID        string
	Name      string
	BirthYear int // 0 when not stated
	Sex       Sex
	// HRLimitingMedication is true where the client takes something that
	// limits heart rate; heart-rate bands then give no verdict.
	HRLimitingMedication bool
}

// Quantity names what was measured of a client.
type Quantity string

// The quantities that measurements.csv may hold.
const (
	BodyMass       Quantity = "body_mass_kg"
	RestingHR      Quantity = "resting_hr_bpm"
	MaxHR          Quantity = "max_hr_bpm"
	ThresholdHR    Quantity = "threshold_hr_bpm"
	ThresholdPower Quantity = "threshold_power_w"
	CriticalPower  Quantity = "critical_power_w"
	VO2Max         Quantity = "vo2max_ml_kg_min"
)

// Measurement is one row of measurements.csv.
type Measurement struct {
	Client   string
	Date     Date
	Quantity Quantity
	Value    float64
}

// BandSignal is what a band limits.
type BandSignal string

// The signals that bands.csv may name.
const (
	BandHeartRate BandSignal = "heart_rate" // beats a minute
	BandPower     BandSignal = "power"      // W
	BandSpeed     BandSignal = "speed"      // m/s
)

// Band is one row of bands.csv: the lower edge of a band of a dated set.
type Band struct {
	Client        string // "*" for every client
	EffectiveFrom Date
	Signal        BandSignal
	Name          string
	Lower         float64
	Unit          string // bpm, pct_max_hr, pct_hr_reserve, pct_threshold_hr, w, pct_threshold_power, m_s
}

// SessionKind is what a prescription asks for, and what a session turns out
// to be.
type SessionKind = metrics.SessionKind

// The kinds that can be prescribed.
const (
	Base           = metrics.Base
	BaseWithBursts = metrics.BaseWithBursts
	Intervals      = metrics.Intervals
)

// Prescription is one row of prescriptions.csv. It holds from its date until
// the client's next row of the same kind. PerWeek 0 ends it.
type Prescription struct {
	Client        string
	EffectiveFrom Date
	Session       SessionKind
	PerWeek       int
	Minutes       float64 // whole session; NaN when not stated
	Rounds        int     // 0 when not stated
	WorkS         float64 // NaN when not stated
	RecoveryS     float64 // NaN when not stated
}

// Facts is what is known of a client on one day, in plain numbers: all that
// measuring a session needs. Unknown numbers are NaN.
type Facts struct {
	Client               string
	Age                  float64 // years, by the year of birth
	Sex                  Sex
	HRLimitingMedication bool

	BodyMass       float64 // kg
	RestingHR      float64 // beats a minute
	MaxHR          float64 // beats a minute; by Tanaka et al. 2001 when MaxHREstimated
	MaxHREstimated bool
	ThresholdHR    float64 // beats a minute
	ThresholdPower float64 // W
	CriticalPower  float64 // W
	VO2Max         float64 // mL/kg/min

	// Bands holds at most one resolved set a signal, in the order heart
	// rate, power, speed. A set that could not be resolved for want of a
	// measurement is left out.
	Bands []BandSet
}

// BandSet is the set of bands in force for one signal, resolved to the
// signal's own unit.
type BandSet struct {
	Signal        BandSignal
	EffectiveFrom Date // the zero Date for the default set
	Default       bool // the ACSM categories, no row of bands.csv
	Estimated     bool // rests on an estimated maximal heart rate
	Names         []string
	Lower         []float64 // ascending; the first is 0 or above
}
