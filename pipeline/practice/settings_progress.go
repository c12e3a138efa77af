package practice

// progressSettings are the gates of the programme.
var progressSettings = []setting{
	{
		key: "progress.week_kept_pct", field: func(s *Settings) any { return &s.Progress.WeekKeptPct }, value: 66.0, low: 1, high: 100,
		what: "sessions done of those prescribed, in percent, from which a week counts as kept", source: noSource,
	},
	{
		key: "progress.session_kept_pct", field: func(s *Settings) any { return &s.Progress.SessionKeptPct }, value: 66.0, low: 1, high: 100,
		what: "minutes done of those prescribed, in percent, from which a session counts towards a kept week", source: noSource,
	},
	{
		key: "progress.base_weeks", field: func(s *Settings) any { return &s.Progress.BaseWeeks }, value: 4, low: 1, high: 52,
		what: "kept weeks of base, one after the other, before bursts are suggested", source: "an initial stage of 4 to 6 weeks is customary (guidelines of the American College of Sports Medicine, read in texts that quote them)",
	},
	{
		key: "progress.base_step_weeks", field: func(s *Settings) any { return &s.Progress.BaseStepWeeks }, value: 2, low: 1, high: 26,
		what: "kept weeks at one length and number of base sessions before more of either is suggested", source: "increments every 2 to 3 weeks are customary (likewise)",
	},
	{
		key: "progress.base_day_weeks", field: func(s *Settings) any { return &s.Progress.BaseDayWeeks }, value: 3, low: 1, high: 26,
		what: "kept weeks at that number of base sessions before bursts are suggested", source: noSource,
	},
	{
		key: "progress.base_max_drift_pct", field: func(s *Settings) any { return &s.Progress.BaseMaxDriftPct }, value: 5.0, low: 0, high: 30,
		what: "median heart-rate drift of those weeks' base sessions, in percent, at most", source: noSource,
	},
	{
		key: "progress.base_minutes", field: func(s *Settings) any { return &s.Progress.BaseMinutes }, value: 40.0, low: 5, high: 300,
		what: "minutes of a base session up to which it is made longer before another day is added", source: noSource,
	},
	{
		key: "progress.base_days", field: func(s *Settings) any { return &s.Progress.BaseDays }, value: 3, low: 1, high: 14,
		what: "base sessions a week before bursts are suggested", source: noSource,
	},
	{
		key: "progress.burst_base_minutes", field: func(s *Settings) any { return &s.Progress.BurstBaseMinutes }, value: 20.0, low: 5, high: 120,
		what: "minutes that base sessions must last before bursts are suggested: the bursts alone take ten", source: noSource,
	},
	{
		key: "progress.burst_weeks", field: func(s *Settings) any { return &s.Progress.BurstWeeks }, value: 3, low: 1, high: 26,
		what: "weeks with bursts held evenly and recovered from before intervals are suggested", source: noSource,
	},
	{
		key: "progress.even_pct", field: func(s *Settings) any { return &s.Progress.EvenPct }, value: 75.0, low: 1, high: 100,
		what: "bouts with even pacing, in percent of all, from which a session was held evenly", source: noSource,
	},
	{
		key: "progress.recovered_pct", field: func(s *Settings) any { return &s.Progress.RecoveredPct }, value: 75.0, low: 1, high: 100,
		what: "recoveries long and easy enough, in percent of all, from which a session was recovered from", source: noSource,
	},
	{
		key: "progress.first_rounds", field: func(s *Settings) any { return &s.Progress.FirstRounds }, value: 4, low: 1, high: 20,
		what: "rounds of a client's first interval sessions", source: "four rounds as in Helgerud et al. 2007",
	},
	{
		key: "progress.most_rounds", field: func(s *Settings) any { return &s.Progress.MostRounds }, value: 8, low: 1, high: 30,
		what: "rounds up to which one more is suggested", source: noSource,
	},
	{
		key: "progress.longest_bout_s", field: func(s *Settings) any { return &s.Progress.LongestBoutS }, value: 480.0, low: 120, high: 600,
		what: "seconds up to which longer bouts are suggested, once there are no more rounds to add", source: "bouts of 3 to 8 minutes; common practice, no source",
	},
	{
		key: "progress.most_work_min", field: func(s *Settings) any { return &s.Progress.MostWorkMin }, value: 40.0, low: 8, high: 120,
		what: "minutes of all bouts of a session together up to which more is suggested", source: "four bouts of 8 minutes, 32 in all, are long sessions in Seiler et al. 2011; the limit is " + noSource,
	},
	{
		key: "progress.interval_weeks", field: func(s *Settings) any { return &s.Progress.IntervalWeeks }, value: 3, low: 1, high: 20,
		what: "weeks with an interval session done as prescribed before the next step is suggested", source: noSource,
	},
	{
		key: "progress.days_between_steps", field: func(s *Settings) any { return &s.Progress.DaysBetweenSteps }, value: 14, low: 7, high: 90,
		what: "least days from one change of the prescription to the next step", source: noSource,
	},
	{
		key: "progress.submaximal_sessions", field: func(s *Settings) any { return &s.Progress.SubmaximalSessions }, value: 3, low: 0, high: 20,
		what: "first interval sessions that are to stay submaximal", source: noSource,
	},
	{
		key: "progress.restart_weeks", field: func(s *Settings) any { return &s.Progress.RestartWeeks }, value: 4, low: 1, high: 52,
		what: "weeks without an interval session after which the next ones count as the first again", source: noSource,
	},
	{
		key: "progress.empty_tank_exertion", field: func(s *Settings) any { return &s.Progress.EmptyTankExertion }, value: 9.0, low: 1, high: 10,
		what: "rated exertion, 0 to 10, from which one of those sessions emptied the tank", source: noSource,
	},
	{
		key: "progress.empty_tank_near_max_s", field: func(s *Settings) any { return &s.Progress.EmptyTankNearMaxS }, value: 240.0, low: 0, high: 3600,
		what: "seconds at or above 90 % of the measured maximal heart rate, likewise", source: noSource,
	},
	{
		key: "progress.empty_tank_last_pct", field: func(s *Settings) any { return &s.Progress.EmptyTankLastPct }, value: 90.0, low: 1, high: 100,
		what: "output of the last bout in percent of the first, at or below, likewise", source: noSource,
	},
	{
		key: "progress.slow_age", field: func(s *Settings) any { return &s.Progress.SlowAge }, value: 65.0, low: 18, high: 130,
		what: "age from which a client moves slower", source: "the age from which WHO 2020 (Bull et al. 2020) advises apart; the pace is " + noSource,
	},
	{
		key: "progress.slow_vo2max", field: func(s *Settings) any { return &s.Progress.SlowVO2Max }, value: 25.0, low: 0, high: 95,
		what: "VO2max in mL/kg/min below which a client moves slower, where it was measured", source: noSource,
	},
	{
		key: "progress.slow_factor", field: func(s *Settings) any { return &s.Progress.SlowFactor }, value: 1.5, low: 1, high: 5,
		what: "how many times the weeks, the days between steps and the first submaximal sessions such a client is given", source: noSource,
	},
	{
		key: "progress.ease_back_weeks", field: func(s *Settings) any { return &s.Progress.EaseBackWeeks }, value: 2, low: 1, high: 26,
		what: "weeks not kept, one after the other, from which easing back is suggested", source: noSource,
	},
	{
		key: "progress.retest_weeks", field: func(s *Settings) any { return &s.Progress.RetestWeeks }, value: 6, low: 1, high: 104,
		what: "weeks after the last test of capacity from which a new one is suggested", source: "VO2peak of older adults rose within 6 weeks of intervals, not within 4 (Herrod et al. 2020)",
	},
}
