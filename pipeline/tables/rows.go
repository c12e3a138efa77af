package tables

import (
	"time"

	"boutwise/pipeline/calendar"
)

// The row types. A field's parquet tag names its column; unit gives the unit;
// digits how many decimals are kept, in Parquet and CSV alike. The comment
// above a field is its entry in the data dictionary: what it means, and after
// "Source:" where its definition comes from. A pointer is a column that may
// be missing; so is a string tagged optional, which is missing when empty.
//
// Rows that the store keeps by the thousand carry the mark toarray: there, the
// names of their columns would take as much room as the values.

// File is one export, or one leg of a multi-sport export, and what became of
// it.
type File struct {
	_ struct{} `cbor:",toarray"`

	// Path relative to inbox/; a member of an archive as bundle.zip/folder/name.fit.
	Path string `parquet:"path"`
	// Leg of a multi-sport export, from 0.
	Leg int32 `parquet:"leg"`
	// SHA-256 of the export's decoded bytes, hexadecimal.
	SHA256 string `parquet:"sha256,optional"`
	// The client whose folder holds the export.
	ClientID string `parquet:"client_id,optional"`
	// The session that the export is part of.
	SessionID string `parquet:"session_id,optional"`
	// fit, gpx or tcx, told from the bytes.
	Format string `parquet:"format,optional"`
	// read; salvaged (read in spite of damage); duplicate (its workout is known from another export); deferred (still being copied, left for the next run); refused.
	Status string `parquet:"status"`
	// Why it was salvaged, deferred or refused, or which export it duplicates.
	Reason string `parquet:"reason,optional"`
	// Maker and model that the export names.
	Device string `parquet:"device,optional"`
	// First sample.
	StartedUTC *time.Time `parquet:"started_utc,timestamp(millisecond)"`
	// Timed samples in the export.
	Samples *int64 `parquet:"samples" unit:"samples"`
	// The channels that the session took from this export, parted by spaces.
	Channels string `parquet:"channels,optional"`
}

// Session is one workout of one client.
type Session struct {
	_ struct{} `cbor:",toarray"`

	// The client.
	ClientID string `parquet:"client_id"`
	// Names the session within the client: its start in UTC to the nearest ten minutes; a second one of that name ends in -2.
	SessionID string `parquet:"session_id"`
	// First sample.
	StartedUTC time.Time `parquet:"started_utc,timestamp(millisecond)"`
	// Calendar day of the start where the client is: by the device's own offset from UTC, else by time_zone in practice.toml.
	LocalDate calendar.Date `parquet:"local_date,date"`
	// Sport, as the device names it.
	Sport string `parquet:"sport"`
	// base, base_with_bursts, intervals, mixed or other, from the confirmed bouts.
	Kind string `parquet:"kind"`
	// First sample to last.
	DurationS float64 `parquet:"duration_s" unit:"s" digits:"0"`
	// Time with data, pauses left out.
	RecordedS float64 `parquet:"recorded_s" unit:"s" digits:"0"`
	// Time that the device did not write, though it tells no pause: gaps between samples of 11 to 60 s. Nothing was measured in it; it counts in minutes of training, and nowhere else.
	SilentS float64 `parquet:"silent_s" unit:"s" digits:"0"`
	// What bouts were looked for in: power, oxygen_cost, speed or heart_rate.
	OutputSignal string `parquet:"output_signal,optional"`
	// Confirmed bouts.
	Bouts int32 `parquet:"bouts" unit:"bouts"`
	// Stretches that only might be bouts; counted nowhere else.
	PossibleBouts int32 `parquet:"possible_bouts" unit:"bouts"`
	// Time in confirmed bouts.
	WorkS float64 `parquet:"work_s" unit:"s" digits:"0"`
	// Start to the first confirmed bout.
	WarmupS *float64 `parquet:"warmup_s" unit:"s" digits:"0"`
	// End of the recovery after the last confirmed bout (3 minutes at most) to the end.
	CooldownS *float64 `parquet:"cooldown_s" unit:"s" digits:"0"`
	// Mean heart rate over the seconds that have one.
	MeanHR *float64 `parquet:"mean_hr_bpm" unit:"bpm" digits:"1"`
	// Highest heart rate after cleaning.
	MaxHR *float64 `parquet:"max_hr_bpm" unit:"bpm" digits:"0"`
	// Mean power over the seconds that have one, zeros included.
	MeanPower *float64 `parquet:"mean_power_w" unit:"W" digits:"1"`
	// Mean speed over the seconds that have one.
	MeanSpeed *float64 `parquet:"mean_speed_m_s" unit:"m/s" digits:"3"`
	// Mean oxygen cost over the seconds that have one, where it is the output: on foot, from speed and grade. Source: ACSM equations (Bushman 2020).
	MeanOxygenCost *float64 `parquet:"mean_oxygen_cost_ml_kg_min" unit:"mL/kg/min" digits:"1"`
	// Distance covered, where the device measured it.
	Distance *float64 `parquet:"distance_m" unit:"m" digits:"0"`
	// Base sessions with an output: heart rate per unit output, second half over first half, without the first 10 minutes, less one. Given even where a finding sensor_trouble doubts the heart rate. Source: common practice, no source; the physiology in Coyle and Gonzalez-Alonso 2001.
	HRDrift *float64 `parquet:"hr_drift_pct" unit:"%" digits:"1"`
	// Sample standard deviation over mean of the confirmed bouts' mean outputs.
	BetweenBoutCV *float64 `parquet:"between_bout_cv_pct" unit:"%" digits:"1"`
	// Mean output of the last confirmed bout over that of the first.
	LastToFirst *float64 `parquet:"last_to_first_bout_pct" unit:"%" digits:"1"`
	// Share of recorded time with a valid heart rate.
	HRCoverage float64 `parquet:"hr_coverage_pct" unit:"%" digits:"1"`
	// Share of recorded time with a valid power.
	PowerCoverage float64 `parquet:"power_coverage_pct" unit:"%" digits:"1"`
	// Share of recorded time with a valid speed.
	SpeedCoverage float64 `parquet:"speed_coverage_pct" unit:"%" digits:"1"`
	// Seconds filled by a straight line between two samples at most 10 s apart.
	BridgedS float64 `parquet:"bridged_s" unit:"s" digits:"0"`
	// Share of the seconds with heart rate and cadence in which the heart rate equals the cadence or twice it: a sensor that counts steps. On foot and on an elliptical trainer only. Source: common practice, no source.
	CadenceLock *float64 `parquet:"hr_equals_cadence_pct" unit:"%" digits:"1"`
	// Samples dropped because their time ran backwards, repeated or lay days away.
	DroppedSamples int64 `parquet:"dropped_samples" unit:"samples"`
	// Samples with a heart rate in the exports, before cleaning.
	HRSamples int64 `parquet:"hr_samples" unit:"samples"`
	// Heart rate samples taken away as impossible, spiking or frozen.
	HRRepaired int64 `parquet:"hr_repaired_samples" unit:"samples"`
	// Power samples taken away as impossible, spiking or frozen.
	PowerRepaired int64 `parquet:"power_repaired_samples" unit:"samples"`
	// Training impulse: minutes weighted by an exponential of the fraction of heart rate reserve, summed second by second. Needs sex, resting and maximal heart rate; says nothing of effort under medication that limits heart rate. Source: Banister 1991 (constants from memory).
	TrainingImpulse *float64 `parquet:"training_impulse" unit:"1" digits:"1"`
	// The client's own rating of exertion, 0 to 10, where the device asked.
	RatedExertion *float64 `parquet:"rated_exertion" unit:"0-10" digits:"1"`
	// True when the maximal heart rate in force, on which training_impulse rests, was estimated from age. Source: Tanaka et al. 2001.
	MaxHREstimated bool `parquet:"max_hr_estimated"`
}

// TrainedS is the time trained, pauses left out, in seconds.
func (s *Session) TrainedS() float64 { return s.RecordedS + s.SilentS }

// Bout is one found bout and the recovery after it.
type Bout struct {
	_ struct{} `cbor:",toarray"`

	// The client.
	ClientID string `parquet:"client_id"`
	// The session.
	SessionID string `parquet:"session_id"`
	// Number within the session, from 1, in order of time.
	Bout int32 `parquet:"bout"`
	// burst (under 2 minutes), interval (2 to 10 minutes) or block (longer).
	Kind string `parquet:"kind"`
	// confirmed: the data bear it out; possible: a question to the coach.
	Confidence string `parquet:"confidence"`
	// The acceptance score that confidence was decided by.
	Score float64 `parquet:"score" unit:"0-1" digits:"2"`
	// The signal that the bout was found in: power, oxygen_cost, speed or heart_rate.
	Signal string `parquet:"signal"`
	// Start.
	StartUTC time.Time `parquet:"start_utc,timestamp(millisecond)"`
	// End.
	EndUTC time.Time `parquet:"end_utc,timestamp(millisecond)"`
	// Start, from the session's first sample.
	StartS float64 `parquet:"start_s" unit:"s" digits:"1"`
	// End, from the session's first sample.
	EndS float64 `parquet:"end_s" unit:"s" digits:"1"`
	// Length.
	DurationS float64 `parquet:"duration_s" unit:"s" digits:"1"`
	// Half-width of the 90 % interval around the start.
	StartUncertainty float64 `parquet:"start_uncertainty_s" unit:"s" digits:"1"`
	// Half-width of the 90 % interval around the end.
	EndUncertainty float64 `parquet:"end_uncertainty_s" unit:"s" digits:"1"`
	// Mean power.
	MeanPower *float64 `parquet:"mean_power_w" unit:"W" digits:"1"`
	// Mean speed.
	MeanSpeed *float64 `parquet:"mean_speed_m_s" unit:"m/s" digits:"3"`
	// Mean grade.
	MeanGrade *float64 `parquet:"mean_grade_pct" unit:"%" digits:"2"`
	// Mean oxygen cost: walking and running from speed and grade, cycling from power and body mass. Source: ACSM equations (Bushman 2020).
	MeanOxygenCost *float64 `parquet:"mean_oxygen_cost_ml_kg_min" unit:"mL/kg/min" digits:"1"`
	// Steadiness: sample standard deviation over mean of consecutive 10 s means, from 5 s after the start to 5 s before the end. Source: common practice, no source.
	SteadinessCV *float64 `parquet:"steadiness_cv_pct" unit:"%" digits:"1"`
	// Theil-Sen slope of those 10 s means over the bout's mean. Source: Sen 1968.
	Drift *float64 `parquet:"drift_pct_per_min" unit:"%/min" digits:"2"`
	// Mean of the first quarter over the bout's mean.
	Quarter1 *float64 `parquet:"quarter1_pct" unit:"%" digits:"1"`
	// Mean of the second quarter over the bout's mean.
	Quarter2 *float64 `parquet:"quarter2_pct" unit:"%" digits:"1"`
	// Mean of the third quarter over the bout's mean.
	Quarter3 *float64 `parquet:"quarter3_pct" unit:"%" digits:"1"`
	// Mean of the last quarter over the bout's mean.
	Quarter4 *float64 `parquet:"quarter4_pct" unit:"%" digits:"1"`
	// even, fast_start, fade, build or uneven; limits in practice.toml. Missing when the bout was found by heart rate. Source: common practice, no source.
	Pacing string `parquet:"pacing,optional"`
	// Mean heart rate.
	MeanHR *float64 `parquet:"mean_hr_bpm" unit:"bpm" digits:"1"`
	// Highest heart rate.
	PeakHR *float64 `parquet:"peak_hr_bpm" unit:"bpm" digits:"0"`
	// Mean heart rate over the 10 s centred on three quarters of the bout.
	HRAtThreeQuarters *float64 `parquet:"hr_at_three_quarters_bpm" unit:"bpm" digits:"1"`
	// Seconds at or above 90 % of maximal heart rate; says nothing of effort under medication that limits it.
	NearMaxHR *float64 `parquet:"near_max_hr_s" unit:"s" digits:"0"`
	// True when the maximal heart rate behind near_max_hr_s was estimated from age. Source: Tanaka et al. 2001.
	MaxHREstimated bool `parquet:"max_hr_estimated"`
	// Recovery: the bout's end to the next bout's start, or to the session's end, at most 3 minutes, after the last.
	Recovery *float64 `parquet:"recovery_s" unit:"s" digits:"1"`
	// Mean output of the recovery over the bout's mean; stopped time counts as zero.
	RecoveryOutput *float64 `parquet:"recovery_output_pct" unit:"%" digits:"1"`
	// passive (at or below 50 %, or stopped) or active.
	RecoveryKind string `parquet:"recovery_kind,optional"`
	// Length of the bout over the length of its recovery; missing after the last bout.
	WorkToRecovery *float64 `parquet:"work_to_recovery" unit:"1" digits:"2"`
	// Heart rate at the bout's end less heart rate 60 s later. Source: Cole et al. 1999 for its meaning after maximal exercise.
	HRRecovery60 *float64 `parquet:"hr_recovery_60s_bpm" unit:"bpm" digits:"0"`
	// Time constant of heart rate's fall in the recovery: least-squares mono-exponential from the last of the highest values in its first 30 s on; missing when what is left is under 150 s, less than 80 % measured, falls less than 10 bpm, or the time constant is uncertain by over 20 %. Source: separable least squares (Golub and Pereyra 1973, from memory); first-order recovery is common in the literature (from memory).
	HRRecoveryTau *float64 `parquet:"hr_recovery_tau_s" unit:"s" digits:"1"`
	// True when a device lap agrees with both boundaries, false when the device has pressed laps that do not; missing without pressed laps.
	LapMatch *bool `parquet:"lap_match"`
}

// BandTime is the time of one session in one intensity band.
type BandTime struct {
	// The client.
	ClientID string `parquet:"client_id"`
	// The session.
	SessionID string `parquet:"session_id"`
	// heart_rate, power or speed.
	Signal string `parquet:"signal"`
	// The band's name. Source: without bands of one's own, the intensity categories of Garber et al. 2011.
	Band string `parquet:"band"`
	// The band's lower edge, itself in the band, in bpm, W or m/s.
	Lower float64 `parquet:"lower" unit:"bpm, W or m/s" digits:"3"`
	// The band's upper edge, itself in the next band; missing for the highest.
	Upper *float64 `parquet:"upper" unit:"bpm, W or m/s" digits:"3"`
	// Trace seconds with a value in the band.
	Seconds int64 `parquet:"seconds" unit:"s"`
	// Share of the seconds with a valid value.
	Share float64 `parquet:"share_pct" unit:"%" digits:"1"`
	// The day from which this set of bands holds; missing for the default set.
	EffectiveFrom *calendar.Date `parquet:"bands_effective_from,date"`
	// True when the edges rest on a maximal heart rate estimated from age. Source: Tanaka et al. 2001.
	Estimated bool `parquet:"estimated"`
}

// Sample is one second of one session's trace.
type Sample struct {
	// The client.
	ClientID string `parquet:"client_id"`
	// The session.
	SessionID string `parquet:"session_id"`
	// The second.
	TimeUTC time.Time `parquet:"time_utc,timestamp(millisecond)"`
	// Seconds from the session's first sample.
	OffsetS int32 `parquet:"offset_s" unit:"s"`
	// Heart rate.
	HeartRate *float64 `parquet:"heart_rate_bpm" unit:"bpm"`
	// Power.
	Power *float64 `parquet:"power_w" unit:"W"`
	// Speed.
	Speed *float64 `parquet:"speed_m_s" unit:"m/s"`
	// Distance since the start.
	Distance *float64 `parquet:"distance_m" unit:"m"`
	// Altitude.
	Altitude *float64 `parquet:"altitude_m" unit:"m"`
	// Grade, rise over run.
	Grade *float64 `parquet:"grade_pct" unit:"%"`
	// Cadence: revolutions, or strides of one leg.
	Cadence *float64 `parquet:"cadence_per_min" unit:"1/min"`
	// Temperature at the device.
	Temperature *float64 `parquet:"temperature_c" unit:"°C"`
	// Latitude, WGS 84; only where practice.toml asks for position.
	Latitude *float64 `parquet:"latitude_deg" unit:"°"`
	// Longitude, WGS 84; only where practice.toml asks for position.
	Longitude *float64 `parquet:"longitude_deg" unit:"°"`
}
