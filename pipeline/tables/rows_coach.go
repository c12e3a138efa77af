package tables

import "boutwise/pipeline/calendar"

// Week is one ISO week of one client.
type Week struct {
	// The client.
	ClientID string `parquet:"client_id"`
	// ISO 8601 week of local days, as 2026-W10.
	ISOWeek string `parquet:"iso_week"`
	// The week's Monday.
	Monday calendar.Date `parquet:"monday,date"`
	// Sessions that began in the week.
	Sessions int32 `parquet:"sessions" unit:"sessions"`
	// Minutes trained, pauses left out.
	Minutes float64 `parquet:"minutes" unit:"min" digits:"0"`
	// Minutes trained in base sessions, with bursts or without, pauses left out.
	BaseMinutes float64 `parquet:"base_minutes" unit:"min" digits:"0"`
	// Interval sessions.
	IntervalSessions int32 `parquet:"interval_sessions" unit:"sessions"`
	// Confirmed bouts in interval sessions.
	Rounds int32 `parquet:"rounds" unit:"bouts"`
	// Minutes of moderate intensity by heart rate, whatever bands the client has. Sessions with a finding sensor_trouble about heart rate are left out, here and in the next three columns; missing where no session is left in which heart rate gives a verdict. Source: categories of Garber et al. 2011.
	ModerateMinutes *float64 `parquet:"moderate_minutes" unit:"min" digits:"0"`
	// Minutes of vigorous or higher intensity by heart rate, likewise. Source: categories of Garber et al. 2011.
	VigorousMinutes *float64 `parquet:"vigorous_minutes" unit:"min" digits:"0"`
	// Moderate minutes plus twice the vigorous ones; 150 to 300 a week are advised for adults. Source: WHO 2020 (Bull et al. 2020).
	ModerateEquivalent *float64 `parquet:"moderate_equivalent_minutes" unit:"min" digits:"0"`
	// Sum of the sessions' training impulses, those with a finding sensor_trouble about heart rate left out. Source: Banister 1991 (constants from memory).
	TrainingImpulse *float64 `parquet:"training_impulse" unit:"1" digits:"1"`
	// True when a maximal heart rate behind the four figures above was estimated from age. Source: Tanaka et al. 2001.
	MaxHREstimated bool `parquet:"max_hr_estimated"`
	// Sessions prescribed for the week; missing without a prescription.
	Prescribed *int32 `parquet:"prescribed" unit:"sessions"`
	// Sessions that met their prescription; missing without one.
	Met *int32 `parquet:"met" unit:"sessions"`
}

// Answer is one session against one prescription of its week. A prescription
// that nothing answers has a row without a session; a session that nobody
// asked for, one without a prescription.
type Answer struct {
	// The client.
	ClientID string `parquet:"client_id"`
	// ISO 8601 week of local days, as 2026-W10.
	ISOWeek string `parquet:"iso_week"`
	// The week's Monday.
	Monday calendar.Date `parquet:"monday,date"`
	// The session prescribed: base, base_with_bursts or intervals; missing where the session was not asked for.
	Asked string `parquet:"asked,optional"`
	// The session that answers: the first of the week of the kind prescribed, else one that comes near to it; missing where none does.
	SessionID string `parquet:"session_id,optional"`
	// answered; due (none yet, and the week is not over); missed (none, and it is); extra (not asked for).
	State string `parquet:"state"`
	// True when the session is as prescribed in every respect that could be judged; missing for due and extra. A step within intervals, or on to them, rests on sessions that are, minutes aside.
	Met *bool `parquet:"met"`
	// Minutes prescribed.
	MinutesAsked *float64 `parquet:"minutes_asked" unit:"min" digits:"1"`
	// Minutes of the session: with bouts from start to end, for a device may be stopped in recoveries, else those recorded.
	MinutesDone *float64 `parquet:"minutes_done" unit:"min" digits:"1"`
	// Rounds prescribed.
	RoundsAsked *int32 `parquet:"rounds_asked" unit:"rounds"`
	// Confirmed bouts; missing where base work was asked for and there are none.
	RoundsDone *int32 `parquet:"rounds_done" unit:"rounds"`
	// Bout length prescribed.
	BoutAsked *float64 `parquet:"bout_asked_s" unit:"s" digits:"0"`
	// Median length of the confirmed bouts.
	BoutDone *float64 `parquet:"bout_done_s" unit:"s" digits:"1"`
	// Confirmed bouts that were held evenly.
	EvenBouts *int32 `parquet:"even_bouts" unit:"bouts"`
	// Confirmed bouts whose pacing could be judged.
	JudgedBouts *int32 `parquet:"judged_bouts" unit:"bouts"`
	// Recovery prescribed.
	RecoveryAsked *float64 `parquet:"recovery_asked_s" unit:"s" digits:"0"`
	// Median length of the recoveries between confirmed bouts.
	RecoveryDone *float64 `parquet:"recovery_done_s" unit:"s" digits:"1"`
	// Median output of those recoveries over the output of the bout before.
	RecoveryOutput *float64 `parquet:"recovery_output_pct" unit:"%" digits:"1"`
	// Minutes at the heart rates that the session is meant for: below vigorous for base work, with bursts or without; vigorous or higher for intervals. Missing where heart rate gives no verdict. Source: categories of Garber et al. 2011; which session is meant for which is common practice, no source.
	BandMinutes *float64 `parquet:"minutes_in_band" unit:"min" digits:"1"`
	// What was not as prescribed, in words and numbers; missing where nothing was.
	Shortfall string `parquet:"shortfall,optional"`
}

// Progress is where a client stands, and what might come next.
type Progress struct {
	// The client.
	ClientID string `parquet:"client_id"`
	// The day of the judgement.
	AsOf calendar.Date `parquet:"as_of,date"`
	// base, base_with_bursts or intervals.
	Stage string `parquet:"stage"`
	// What the coach might consider next, never a prescription: hold, longer_base, another_base_day, begin_bursts, begin_intervals, one_more_round, longer_bouts, shorter_bouts, ease_back or retest_capacity.
	Suggestion string `parquet:"suggestion"`
	// The rule and the numbers behind the suggestion.
	Reason string `parquet:"reason"`
	// What to mind before following the suggestion; every one that asks for harder work has it. Source: Riebe et al. 2015 for the screening.
	Caution string `parquet:"caution,optional"`
	// Evidence: weeks kept one after the other, up to now.
	KeptWeeks int32 `parquet:"kept_weeks" unit:"weeks"`
	// Evidence: weeks over and not kept, one after the other, up to now.
	MissedWeeks int32 `parquet:"missed_weeks" unit:"weeks"`
	// Evidence: median heart-rate drift of recent base sessions.
	BaseDrift *float64 `parquet:"base_hr_drift_pct" unit:"%" digits:"1"`
	// Evidence: the base sessions behind that median.
	DriftSessions int32 `parquet:"base_drift_sessions" unit:"sessions"`
	// Evidence: interval sessions done, from the first one after the last long break (restart_weeks in practice.toml).
	IntervalSessions int32 `parquet:"interval_sessions" unit:"sessions"`
	// Evidence: days from the last change of the prescription to the day after the judgement, the first on which a step could be taken.
	DaysSinceChange *int32 `parquet:"days_since_change" unit:"days"`
}

// Capacity is one estimate of what a client can do.
type Capacity struct {
	// The client.
	ClientID string `parquet:"client_id"`
	// The day of the estimate.
	AsOf calendar.Date `parquet:"as_of,date"`
	// What is estimated; the name carries the unit: critical_power_w, work_above_critical_power_kj, power_for_N_min_w (what could be held for 3, 4, 5, 6 and 8 minutes), vo2max_ml_kg_min, and the trends base_output_trend_pct_per_month, base_hr_drift_trend_points_per_month and interval_output_trend_pct_per_month.
	Quantity string `parquet:"quantity"`
	// The estimate; missing when the data cannot bear one, and evidence says why.
	Value *float64 `parquet:"value" digits:"3"`
	// Lower limit; the method says of what: a confidence interval or one standard error.
	Low *float64 `parquet:"low" digits:"3"`
	// Upper limit, likewise.
	High *float64 `parquet:"high" digits:"3"`
	// How it was computed, with its source.
	Method string `parquet:"method"`
	// What it rests on.
	Evidence string `parquet:"evidence"`
}

// Finding is something in the data that the coach should see.
type Finding struct {
	// The client.
	ClientID string `parquet:"client_id"`
	// The session, where the finding is about one.
	SessionID string `parquet:"session_id,optional"`
	// The day that the finding is about.
	Date calendar.Date `parquet:"date,date"`
	// urgent (before the next session), soon (this week) or note (for the record).
	Severity string `parquet:"severity"`
	// The finding's fixed name: export_of_two_clients, sensor_trouble, sparse_recording, fast_start, faded, uneven, recovery_too_short, recovery_too_hard, low_heart_rate_recovery, base_above_band, heart_rate_above_maximum, exertion_above_data, exertion_below_data, output_drop, intervals_too_close, too_many_interval_sessions, too_few_interval_sessions, weekly_minutes_jump, silent_client or heart_rate_not_judged.
	Finding string `parquet:"finding"`
	// One sentence for the coach, with the evidence in it.
	Message string `parquet:"message"`
	// The figure that raised it, in the unit that the message names.
	Value *float64 `parquet:"value" digits:"3"`
	// The limit that it passed, in the same unit; of intervals_too_close what is due less the twelfth that is allowed.
	Limit *float64 `parquet:"limit" digits:"3"`
	// How it is judged, with its source or "common practice, no source".
	Method string `parquet:"method"`
}
