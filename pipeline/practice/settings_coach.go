package practice

// ProgressSettings are the gates of the programme: what must have been kept,
// and for how long, before the next step is suggested. None of them has a
// published source; they are what coaches commonly ask for.
type ProgressSettings struct {
	WeekKeptPct float64 // sessions done of those prescribed from which a week counts as kept

	BaseWeeks       int     // kept weeks of base before bursts
	BaseMaxDriftPct float64 // median heart-rate drift in those weeks, at most
	BaseMinutes     float64 // length of a base session before another day or bursts are added
	BaseDays        int     // base sessions a week before bursts are added

	BurstSessions int     // sessions with bursts before intervals
	EvenPct       float64 // bouts that were even, of all, from which they count as held evenly
	RecoveredPct  float64 // recoveries that were long and easy enough, of all, from which they count as recovered

	FirstRounds      int // rounds in a first interval session
	MostRounds       int // rounds beyond which bouts get longer instead
	IntervalSessions int // even sessions at a step before the next one
	DaysBetweenSteps int // least days from a change of prescription to the next step

	SubmaximalSessions int     // first interval sessions that are to stay submaximal
	EmptyTankExertion  float64 // rated exertion, 0 to 10, from which a session emptied the tank
	EmptyTankNearMaxS  float64 // seconds near maximal heart rate in one session, likewise
	EmptyTankLastPct   float64 // last bout of first, at or below, likewise

	SlowAge       float64 // age from which a client moves slower
	SlowVO2Max    float64 // VO2max in mL/kg/min below which a client moves slower
	SlowFactor    float64 // how many times the weeks and sessions a slower client needs
	EaseBackWeeks int     // weeks not kept in a row before easing back
	RetestWeeks   int     // weeks of training after which capacity is worth a new test
}

// FindingSettings are the limits beyond which a finding fires.
type FindingSettings struct {
	BoutSharePct float64 // bouts that show a fault, of all of a session, from which the session shows it
	FadeLastPct  float64 // last bout of first, below which the session faded
	UnevenCVPct  float64 // median steadiness above which a session was uneven

	RecoveryShortPct float64 // recovery of what was prescribed, or of the bout before, below which it was too short
	RecoveryHardPct  float64 // output in recovery of the bout's, above which it was too hard

	IntervalGapH     float64 // hours that two interval sessions must lie apart
	BaseAbovePct     float64 // time of a base session above its band, beyond which it was too hard
	WeeklyJumpPct    float64 // minutes of a week over the mean of the four before, beyond which they jumped
	WeeklyJumpMin    float64 // minutes that the jump must amount to
	SilentDays       int     // days without a session before a client is silent
	AboveMaxHRBPM    float64 // beats above the measured maximum that are looked at
	HRRecoveryBPM    float64 // heart-rate recovery after 60 s standing still, at or below which it is low
	OutputDropPct    float64 // output at a given heart rate below the client's own median
	OutputDropMADs   float64 // and this many median absolute deviations below it
	LowCoveragePct   float64 // seconds with a value below which a sensor gave trouble
	CadenceLockPct   float64 // seconds in which heart rate equals cadence, from which it is locked to it
	ExertionHardBase float64 // rated exertion from which a base session felt too hard
	ExertionEasyWork float64 // rated exertion up to which hard intervals felt too easy
}

// CapacitySettings rule what is estimated over months.
type CapacitySettings struct {
	WindowDays      int     // days whose maximal bouts are fitted together
	ShortestS       float64 // shortest and longest bout that the two-parameter model takes
	LongestS        float64
	MinBouts        int     // fewest bouts
	MinSpread       float64 // longest over shortest bout, at least
	MaximalHRPct    float64 // peak heart rate of the maximum from which a bout counts as maximal
	MaximalExertion float64 // rated exertion, 0 to 10, likewise
	MaxErrorPct     float64 // standard error of critical power, of itself, beyond which it is refused
	FixedHRPct      float64 // per cent of heart-rate reserve at which base output is followed
	TrendSessions   int     // fewest sessions for a trend
	TrendP          float64 // two-sided p of Mann-Kendall below which there is a trend
}

// LimitSettings bound what hostile or broken input may cost.
type LimitSettings struct {
	ExportMB       int // one export, unpacked
	ArchiveMB      int // all members of one archive together, unpacked
	ArchiveMembers int // members of one archive
	ArchiveDepth   int // archives within archives
	Samples        int // samples of one export
	SessionHours   int // first sample to last
}

// PacingSettings tell an even bout from one that was not.
type PacingSettings struct {
	EvenCVPct      float64 // steadiness up to which a bout may be even
	FastStartPct   float64 // first quarter over the rest, beyond which the start was fast
	FadePct        float64 // last quarter below the rest, beyond which the bout faded
	BuildPct       float64 // last quarter above the first, beyond which the bout built
}
