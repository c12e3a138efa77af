package practice

import (
	"time"

	"boutwise/metrics"
	"boutwise/parsers/recording"
)

// Settings are the practice's own choices, from practice.toml. Every one has
// a default; [WriteTemplate] explains each with its source.
type Settings struct {
	TimeZone string         // IANA name
	Location *time.Location // TimeZone, loaded: client-local days and weeks

	// ReviewUnits is "metric" or "imperial" for speeds and distances on
	// pages; tables are always SI.
	ReviewUnits string

	KeepPosition bool // position in the stored traces and the samples table
	WriteSamples bool // the samples table

	// MinConfidence is the acceptance score from which a bout is confirmed.
	MinConfidence float64

	Pacing   metrics.PacingLimits
	Kinds    metrics.KindLimits
	Progress ProgressSettings
	Findings FindingSettings
	Capacity CapacitySettings
	Limits   recording.Limits // what hostile or broken input may cost
}
