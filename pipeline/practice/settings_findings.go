package practice

import "boutwise/metrics"

// findingSettings are the limits beyond which a finding fires.
var findingSettings = []setting{
	{
		key: "findings.bout_share_pct", field: func(s *Settings) any { return &s.Findings.BoutSharePct }, value: 50.0, low: 1, high: 100,
		what: "bouts that show a fault, in percent of all of a session, from which the session shows it", source: noSource,
	},
	{
		key: "findings.fade_last_pct", field: func(s *Settings) any { return &s.Findings.FadeLastPct }, value: 94.0, low: 50, high: 100,
		what: "output of the last bout in percent of the first, below which the session faded", source: noSource,
	},
	{
		key: "findings.recovery_short_pct", field: func(s *Settings) any { return &s.Findings.RecoveryShortPct }, value: 75.0, low: 10, high: 100,
		what: "recovery in percent of the prescribed one, or of the bout before it, below which it was too short", source: noSource,
	},
	{
		key: "findings.recovery_hard_pct", field: func(s *Settings) any { return &s.Findings.RecoveryHardPct }, value: 75.0, low: 10, high: 100,
		what: "output in recovery, in percent of the bout's, above which it was too hard", source: noSource,
	},
	{
		key: "findings.interval_gap_h", field: func(s *Settings) any { return &s.Findings.IntervalGapH }, value: 48.0, low: 1, high: 240,
		what: "hours that the starts of two interval sessions are to lie apart; a twelfth less is let pass", source: noSource,
	},
	{
		key: "findings.base_above_pct", field: func(s *Settings) any { return &s.Findings.BaseAbovePct }, value: 25.0, low: 1, high: 100,
		what: "time of a base session at vigorous heart rates, in percent, above which it was too hard", source: "vigorous as in Garber et al. 2011; the share is " + noSource,
	},
	{
		key: "findings.weekly_jump_pct", field: func(s *Settings) any { return &s.Findings.WeeklyJumpPct }, value: 50.0, low: 5, high: 500,
		what: "minutes of a week above the mean of the four before, in percent, from which they jumped", source: noSource,
	},
	{
		key: "findings.weekly_jump_min", field: func(s *Settings) any { return &s.Findings.WeeklyJumpMin }, value: 60.0, low: 0, high: 600,
		what: "minutes that such a jump must amount to", source: noSource,
	},
	{
		key: "findings.silent_days", field: func(s *Settings) any { return &s.Findings.SilentDays }, value: 10, low: 2, high: 365,
		what: "days without a session from which a client is silent", source: noSource,
	},
	{
		key: "findings.above_max_hr_bpm", field: func(s *Settings) any { return &s.Findings.AboveMaxHRBPM }, value: 5.0, low: 1, high: 40,
		what: "beats above the measured maximal heart rate from which sensor and maximum are questioned", source: noSource,
	},
	{
		key: "findings.above_max_hr_s", field: func(s *Settings) any { return &s.Findings.AboveMaxHRS }, value: 10, low: 1, high: 600,
		what: "seconds that it must be that high, so that a spike of the sensor does not count", source: noSource,
	},
	{
		key: "findings.hr_recovery_bpm", field: func(s *Settings) any { return &s.Findings.HRRecoveryBPM }, value: 12.0, low: 1, high: 40,
		what: "fall of heart rate in the minute after work, standing or sitting still, at or below which it is low", source: "Cole et al. 1999, in a slow walk after maximal exercise; at rest it falls faster, so the limit errs on the side of silence",
	},
	{
		key: "findings.hr_recovery_peak_pct", field: func(s *Settings) any { return &s.Findings.HRRecoveryPeakPct }, value: 85.0, low: 50, high: 100,
		what: "peak heart rate of a bout, in percent of the maximum, from which that fall is judged", source: "Cole et al. 1999 judged it after maximal exercise; the share is common practice, no source",
	},
	{
		key: "findings.hr_recovery_output_pct", field: func(s *Settings) any { return &s.Findings.HRRecoveryOutput }, value: 10.0, low: 0, high: 50,
		what: "output after the bout, in percent of the bout's, up to which a client counts as standing or sitting still", source: noSource,
	},
	{
		key: "findings.output_drop_pct", field: func(s *Settings) any { return &s.Findings.OutputDropPct }, value: 10.0, low: 1, high: 50,
		what: "output per heart beat below the client's own median, in percent, from which it dropped", source: noSource,
	},
	{
		key: "findings.output_drop_mads", field: func(s *Settings) any { return &s.Findings.OutputDropMADs }, value: 4.0, low: 1, high: 20,
		what: "and how many scaled median absolute deviations below it, so that a varied history speaks softly", source: noSource,
	},
	{
		key: "findings.output_history", field: func(s *Settings) any { return &s.Findings.OutputHistory }, value: 6, low: 4, high: 50,
		what: "earlier base sessions of the same sport that such a comparison needs", source: noSource,
	},
	{
		key: "findings.output_days", field: func(s *Settings) any { return &s.Findings.OutputDays }, value: 90, low: 14, high: 365,
		what: "days that it looks back", source: noSource,
	},
	{
		key: "findings.low_coverage_pct", field: func(s *Settings) any { return &s.Findings.LowCoveragePct }, value: 80.0, low: 1, high: 100,
		what: "recorded seconds with a heart rate, in percent, below which the sensor gave trouble", source: noSource,
	},
	{
		key: "findings.silent_pct", field: func(s *Settings) any { return &s.Findings.SilentPct }, value: 20.0, low: 1, high: 100,
		what: "time trained that the device did not write, in percent, from which it records too seldom", source: noSource,
	},
	{
		key: "findings.repaired_pct", field: func(s *Settings) any { return &s.Findings.RepairedPct }, value: 5.0, low: 0.1, high: 100,
		what: "heart-rate samples taken away as frozen, spiking or impossible, in percent, above which it did", source: "9 % of field samples are artefacts before and 4.4 % after cleaning (Joosen et al. 2013)",
	},
	{
		key: "findings.cadence_lock_pct", field: func(s *Settings) any { return &s.Findings.CadenceLockPct }, value: 50.0, low: 5, high: 100,
		what: "seconds in which heart rate and cadence agree within two a minute, in percent, from which the sensor counts steps", source: noSource,
	},
	{
		key: "findings.exertion_hard_base", field: func(s *Settings) any { return &s.Findings.ExertionHardBase }, value: 7.0, low: 1, high: 10,
		what: "rated exertion, 0 to 10, from which a base session felt harder than its heart rate says, or too hard where that says nothing", source: noSource,
	},
	{
		key: "findings.exertion_easy_work", field: func(s *Settings) any { return &s.Findings.ExertionEasyWork }, value: 3.0, low: 0, high: 9,
		what: "rated exertion up to which intervals near maximal heart rate felt easier than it says", source: noSource,
	},
	{
		key: "findings.open_days", field: func(s *Settings) any { return &s.Findings.OpenDays }, value: 14, low: 1, high: 90,
		what: "days after which a finding no longer holds a step back", source: noSource,
	},
}

// capacityLimits are the defaults of most of the capacity section.
var capacityLimits = metrics.DefaultCapacityLimits()

// capacitySettings rule what is estimated over months.
var capacitySettings = []setting{
	{
		key: "capacity.window_days", field: func(s *Settings) any { return &s.Capacity.WindowDays }, value: 90, low: 14, high: 365,
		what: "days whose maximal bouts are fitted together", source: noSource,
	},
	{
		key: "capacity.min_s", field: func(s *Settings) any { return &s.Capacity.MinSeconds }, value: capacityLimits.MinSeconds, low: 60, high: 600,
		what: "shortest bout, in seconds, that the two-parameter model takes", source: "2 to 20 minutes; common practice, no source",
	},
	{
		key: "capacity.max_s", field: func(s *Settings) any { return &s.Capacity.MaxSeconds }, value: capacityLimits.MaxSeconds, low: 300, high: 3600,
		what: "longest bout, in seconds, likewise", source: "2 to 20 minutes; common practice, no source",
	},
	{
		key: "capacity.min_efforts", field: func(s *Settings) any { return &s.Capacity.MinEfforts }, value: capacityLimits.MinEfforts, low: 3, high: 20,
		what: "fewest maximal bouts for a fit", source: "two always fit, and show nothing",
	},
	{
		key: "capacity.min_span", field: func(s *Settings) any { return &s.Capacity.MinSpan }, value: capacityLimits.MinSpan, low: 1.2, high: 10,
		what: "longest over shortest of them, at least", source: noSource,
	},
	{
		key: "capacity.confidence", field: func(s *Settings) any { return &s.Capacity.Confidence }, value: capacityLimits.Confidence, low: 0.5, high: 0.99,
		what: "confidence of the limits", source: "customary",
	},
	{
		key: "capacity.max_half_width_pct", field: func(s *Settings) any { return &s.Capacity.MaxHalfWidthPct }, value: capacityLimits.MaxHalfWidthPct, low: 1, high: 50,
		what: "half of critical power's interval, in percent of it, above which no figure is given", source: "field tests repeat to about 5 % (Karsten et al. 2015)",
	},
	{
		key: "capacity.maximal_hr_pct", field: func(s *Settings) any { return &s.Capacity.MaximalHRPct }, value: 93.0, low: 80, high: 100,
		what: "peak heart rate of a bout, in percent of the measured maximum, from which it counts as maximal", source: noSource,
	},
	{
		key: "capacity.maximal_exertion", field: func(s *Settings) any { return &s.Capacity.MaximalExertion }, value: 9.0, low: 5, high: 10,
		what: "rated exertion, 0 to 10, from which a session's bouts count as maximal", source: noSource,
	},
	{
		key: "capacity.stage_days", field: func(s *Settings) any { return &s.Capacity.StageDays }, value: 42, low: 7, high: 365,
		what: "days whose steady stages go into an estimate of maximal oxygen uptake", source: noSource,
	},
	{
		key: "capacity.stage_s", field: func(s *Settings) any { return &s.Capacity.StageS }, value: 180.0, low: 120, high: 1200,
		what: "shortest stage, in seconds: heart rate must have settled", source: "three-minute stages of submaximal cycle tests",
	},
	{
		key: "capacity.stage_max_hr_pct", field: func(s *Settings) any { return &s.Capacity.StageMaxHRPct }, value: 85.0, low: 60, high: 95,
		what: "heart rate of a stage, in percent of the maximum, at most", source: "85 % of the age-predicted maximum in submaximal cycle tests (Golding 1989)",
	},
	{
		key: "capacity.min_stage_rise_bpm", field: func(s *Settings) any { return &s.Capacity.MinStageRise }, value: capacityLimits.MinStageRise, low: 5, high: 60,
		what: "least rise of heart rate from the easiest stage to the hardest", source: noSource,
	},
	{
		key: "capacity.min_vo2_error", field: func(s *Settings) any { return &s.Capacity.MinVO2Error }, value: capacityLimits.MinVO2Error, low: 0.05, high: 0.5,
		what: "least standard error of such an estimate, as a share of it", source: "submaximal tests err by 9 to 18 % (Bjorkman et al. 2016)",
	},
	{
		key: "capacity.vo2max_low", field: func(s *Settings) any { return &s.Capacity.VO2Low }, value: capacityLimits.VO2Low, low: 5, high: 50,
		what: "lowest maximal oxygen uptake that is believed, in mL/kg/min", source: "Loe et al. 2013",
	},
	{
		key: "capacity.vo2max_high", field: func(s *Settings) any { return &s.Capacity.VO2High }, value: capacityLimits.VO2High, low: 50, high: 100,
		what: "highest, likewise", source: "Loe et al. 2013",
	},
	{
		key: "capacity.trend_days", field: func(s *Settings) any { return &s.Capacity.TrendDays }, value: 180, low: 28, high: 3650,
		what: "days over which a trend is told", source: noSource,
	},
	{
		key: "capacity.trend_sessions", field: func(s *Settings) any { return &s.Capacity.TrendSessions }, value: 8, low: 5, high: 100,
		what: "fewest sessions for a trend", source: noSource,
	},
	{
		key: "capacity.trend_p", field: func(s *Settings) any { return &s.Capacity.TrendP }, value: 0.05, low: 0.0001, high: 0.2,
		what: "two-sided p of the Mann-Kendall test below which there is a trend", source: "the customary level of significance",
	},
}
