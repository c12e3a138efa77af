package practice

import "boutwise/metrics"

// ProgressSettings are the gates of the programme: what must have been kept,
// and for how long, before the next step is suggested. The template says what
// each means and how its default came about; percentages are 0 to 100.
type ProgressSettings struct {
	WeekKeptPct    float64
	SessionKeptPct float64

	BaseWeeks        int
	BaseStepWeeks    int
	BaseDayWeeks     int
	BaseMaxDriftPct  float64
	BaseMinutes      float64 // min
	BaseDays         int     // a week
	BurstBaseMinutes float64 // min

	BurstWeeks   int
	EvenPct      float64
	RecoveredPct float64

	FirstRounds      int
	MostRounds       int
	IntervalWeeks    int
	LongestBoutS     float64 // s
	MostWorkMin      float64 // min
	DaysBetweenSteps int

	SubmaximalSessions int
	RestartWeeks       int
	EmptyTankExertion  float64 // 0 to 10
	EmptyTankNearMaxS  float64 // s
	EmptyTankLastPct   float64

	SlowAge       float64 // years
	SlowVO2Max    float64 // mL/kg/min
	SlowFactor    float64
	EaseBackWeeks int
	RetestWeeks   int
}

// FindingSettings are the limits beyond which a finding fires. The template
// says what each means; percentages are 0 to 100.
type FindingSettings struct {
	BoutSharePct float64
	FadeLastPct  float64

	RecoveryShortPct float64
	RecoveryHardPct  float64

	IntervalGapH  float64 // h
	BaseAbovePct  float64
	WeeklyJumpPct float64
	WeeklyJumpMin float64 // min
	SilentDays    int

	AboveMaxHRBPM     float64 // beats a minute
	AboveMaxHRS       int     // s
	HRRecoveryBPM     float64 // beats a minute
	HRRecoveryPeakPct float64
	HRRecoveryOutput  float64 // percent of the bout's
	OutputHistory     int     // sessions
	OutputDays        int
	OutputDropPct     float64
	OutputDropMADs    float64

	LowCoveragePct float64
	SilentPct      float64
	RepairedPct    float64
	CadenceLockPct float64

	ExertionHardBase float64 // 0 to 10
	ExertionEasyWork float64 // 0 to 10

	OpenDays int
}

// CapacitySettings rule what is estimated over months.
type CapacitySettings struct {
	metrics.CapacityLimits

	WindowDays      int
	MaximalHRPct    float64
	MaximalExertion float64 // 0 to 10

	StageDays     int
	StageMaxHRPct float64
	StageS        float64 // s

	TrendDays     int
	TrendSessions int
	TrendP        float64 // two-sided
}
