package fit

import (
	"fmt"
	"math"
	"time"

	"github.com/tormoder/fit"

	"boutwise/parsers/motion"
	"boutwise/parsers/recording"
)

// convert turns a decoded activity into one recording a leg that has samples.
func (f *normalised) convert(file *fit.File, a *fit.ActivityFile) []*recording.Recording {
	legs := splitLegs(a)
	device := deviceOf(file, a)
	offset := utcOffset(a.Activity)
	// Events belong to no leg by themselves; their times say to which.
	pauses := pausesOf(a.Events)
	lost := 0 // records without a time
	var recs []*recording.Recording
	for i := range legs {
		l := &legs[i]
		rec := &recording.Recording{
			Format: recording.FIT, Device: device, UTCOffset: offset,
			Samples: samplesOf(l.records), Laps: lapsOf(l.laps), Totals: recording.NoTotals(),
			Pauses: l.own(pauses),
		}
		// samplesOf leaves out what has no time, and nothing else.
		lost += len(l.records) - rec.Samples.Len()
		if rec.Samples.Len() == 0 {
			// A leg that was skipped, in a triathlon that ended early for instance.
			if l.session != nil {
				f.salvage.add("", fmt.Sprintf("the %s session has no records: left out", snake(l.session.Sport.String())))
			}
			continue
		}
		rec.Sport, rec.Indoor = f.pursuitOf(l).common()
		// A file that was cut short has records and no session.
		if l.session != nil {
			rec.Totals = totalsOf(l.session)
			rec.RatedExertion = f.exertion(l.number)
		}
		if len(f.beats) > 0 {
			fillHeartRate(&rec.Samples, f.beats)
		}
		// Only now: heartbeats may have filled a column that had nothing.
		rec.Samples.DropEmpty()
		// Last, as it derives speed and distance from what there is by now.
		motion.Complete(&rec.Samples, startsAfter(rec.Samples.TimeMS, rec.Pauses))
		recs = append(recs, rec)
	}
	if lost > 0 {
		f.salvage.add("", fmt.Sprintf("%d records without a time were left out", lost))
	}
	// Not before every leg was made: the notes are the file's, and all of them
	// hold for each leg.
	for _, rec := range recs {
		rec.Salvage, rec.Damaged = f.salvage.lines(), f.damaged
	}
	return recs
}

// exertion gives the rating that came with a session message, counted in the
// order of the file.
func (f *normalised) exertion(session int) *float64 {
	// The two are counted alike; should they ever differ, there is no rating.
	if session >= len(f.exertions) || math.IsNaN(f.exertions[session]) {
		return nil
	}
	return &f.exertions[session]
}

// unixMS is a decoded time in Unix milliseconds; ok is false where the device
// gave none, which the decoder turns into the epoch itself.
func unixMS(t time.Time) (ms int64, ok bool) {
	return t.UnixMilli(), !fit.IsBaseTime(t)
}

// samplesOf turns records into columns, in SI, leaving out records without a
// time. Every column is there; the empty ones are dropped later.
func samplesOf(records []*fit.RecordMsg) recording.Samples {
	// Room for all is asked for once: growing ten columns by appending would
	// copy every value several times.
	n := len(records)
	s := recording.Samples{TimeMS: make([]int64, 0, n)}
	// One allocation holds all columns, each with room for exactly n values.
	block := make([]float64, 10*n)
	column := func(i int) []float64 { return block[i*n : i*n : (i+1)*n] }
	heartRate, power, speed, distance := column(0), column(1), column(2), column(3)
	altitude, grade, cadence, temperature := column(4), column(5), column(6), column(7)
	latitude, longitude := column(8), column(9)
	for _, r := range records {
		ms, ok := unixMS(r.Timestamp)
		if !ok {
			continue
		}
		// Speed and altitude: the decoder copies the narrow field into the wide
		// one, so the wide one always has the value.
		s.TimeMS = append(s.TimeMS, ms)
		heartRate = append(heartRate, scaled(r.HeartRate, 0xFF, 1, 0))
		power = append(power, scaled(r.Power, 0xFFFF, 1, 0))
		speed = append(speed, scaled(r.EnhancedSpeed, 0xFFFFFFFF, 1000, 0))
		distance = append(distance, scaled(r.Distance, 0xFFFFFFFF, 100, 0))
		altitude = append(altitude, scaled(r.EnhancedAltitude, 0xFFFFFFFF, 5, 500))
		grade = append(grade, scaled(r.Grade, 0x7FFF, 100, 0))
		cadence = append(cadence, cadenceOf(r))
		temperature = append(temperature, scaled(r.Temperature, 0x7F, 1, 0))
		latitude = append(latitude, r.PositionLat.Degrees())
		longitude = append(longitude, r.PositionLong.Degrees())
	}
	s.HeartRate, s.Power, s.Speed, s.Distance = heartRate, power, speed, distance
	s.Altitude, s.Grade, s.Cadence, s.Temperature = altitude, grade, cadence, temperature
	s.Position = &recording.Position{Latitude: latitude, Longitude: longitude}
	return s
}

// scaled turns a raw number into its value; NaN for the sentinel.
func scaled[T uint8 | int8 | uint16 | int16 | uint32](raw, sentinel T, scale, offset float64) float64 {
	// The protocol marks what was not measured by a value of the type: all ones,
	// or the largest for signed numbers.
	if raw == sentinel {
		return math.NaN()
	}
	return float64(raw)/scale - offset
}

// cadenceOf joins cadence and its fraction, or takes the field that holds both.
// For running it counts strides, of one leg, as FIT does.
func cadenceOf(r *fit.RecordMsg) float64 {
	// The field with eight more bits is rarer: it is asked where this is empty.
	if r.Cadence == 0xFF {
		return scaled(r.Cadence256, 0xFFFF, 256, 0)
	}
	cadence := float64(r.Cadence)
	if r.FractionalCadence != 0xFF {
		cadence += float64(r.FractionalCadence) / 128
	}
	return cadence
}

// lapsOf turns lap messages into laps, leaving out those without a start.
func lapsOf(laps []*fit.LapMsg) []recording.Lap {
	var out []recording.Lap
	for _, l := range laps {
		start, ok := unixMS(l.StartTime)
		if !ok {
			continue
		}
		// The message's own time is written when the lap has ended, which may
		// be a moment later; the elapsed time is exact.
		end, _ := unixMS(l.Timestamp)
		// Already in milliseconds, so the scale is 1.
		if elapsed := scaled(l.TotalElapsedTime, 0xFFFFFFFF, 1, 0); !math.IsNaN(elapsed) {
			end = start + int64(elapsed)
		}
		out = append(out, recording.Lap{
			// A lap that ended before it began had its clock set on the way.
			StartMS: start, EndMS: max(start, end),
			Intensity: intensities[l.Intensity], Trigger: triggers[l.LapTrigger],
			MeanPower:     scaled(l.AvgPower, 0xFFFF, 1, 0),
			MeanHeartRate: scaled(l.AvgHeartRate, 0xFF, 1, 0),
		})
	}
	return out
}

// intensities and triggers hold the words for the profile's numbers.
var (
	intensities = map[fit.Intensity]string{
		fit.IntensityActive: "active", fit.IntensityRest: "rest", fit.IntensityWarmup: "warmup",
		fit.IntensityCooldown: "cooldown", fit.IntensityRecovery: "recovery", fit.IntensityInterval: "interval",
	}
	triggers = map[fit.LapTrigger]string{
		fit.LapTriggerManual: "manual", fit.LapTriggerTime: "time", fit.LapTriggerDistance: "distance",
		fit.LapTriggerPositionStart: "position", fit.LapTriggerPositionLap: "position",
		fit.LapTriggerPositionWaypoint: "position", fit.LapTriggerPositionMarked: "position",
		fit.LapTriggerSessionEnd: "session_end", fit.LapTriggerFitnessEquipment: "fitness_equipment",
	}
)

// totalsOf turns a session message into totals.
func totalsOf(s *fit.SessionMsg) recording.Totals {
	// Each figure has a sentinel of its own; what was not written stays NaN.
	t := recording.Totals{
		ElapsedS:  scaled(s.TotalElapsedTime, 0xFFFFFFFF, 1000, 0),
		TimerS:    scaled(s.TotalTimerTime, 0xFFFFFFFF, 1000, 0),
		DistanceM: scaled(s.TotalDistance, 0xFFFFFFFF, 100, 0),
		MeanHR:    scaled(s.AvgHeartRate, 0xFF, 1, 0), MaxHR: scaled(s.MaxHeartRate, 0xFF, 1, 0),
		MeanPower: scaled(s.AvgPower, 0xFFFF, 1, 0), MaxPower: scaled(s.MaxPower, 0xFFFF, 1, 0),
		MeanSpeed: scaled(s.EnhancedAvgSpeed, 0xFFFFFFFF, 1000, 0), MaxSpeed: scaled(s.EnhancedMaxSpeed, 0xFFFFFFFF, 1000, 0),
	}
	// 0 stands for no start, as in the common form.
	if start, ok := unixMS(s.StartTime); ok {
		t.StartMS = start
	}
	return t
}

// quarterHour is what every time zone's offset is a multiple of.
const quarterHour = 15 * time.Minute

// utcOffset is local time less UTC as the activity message tells it, to the
// quarter of an hour, since some devices take the two times apart; nil where
// it does not, or tells what no zone has.
func utcOffset(a *fit.ActivityMsg) *time.Duration {
	if a == nil || fit.IsBaseTime(a.Timestamp) || fit.IsBaseTime(a.LocalTimestamp) {
		return nil
	}
	// The decoder makes a zone of the difference between the two times.
	_, seconds := a.LocalTimestamp.Zone()
	offset := (time.Duration(seconds) * time.Second).Round(quarterHour)
	// The widest offsets that any zone has.
	if offset < -12*time.Hour || offset > 14*time.Hour {
		return nil
	}
	return &offset
}
