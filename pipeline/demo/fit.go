package demo

import (
	"bytes"
	"math"
	"time"

	"github.com/muktihari/fit/encoder"
	"github.com/muktihari/fit/kit/semicircles"
	"github.com/muktihari/fit/profile/mesgdef"
	"github.com/muktihari/fit/profile/typedef"
	"github.com/muktihari/fit/proto"

	"boutwise/parsers/recording"
)

// encodeFIT writes a recording as a FIT activity, in the order in which
// devices do: what the file is, then samples as time goes by, then summaries.
func encodeFIT(rec *recording.Recording, product uint16, serial uint32) ([]byte, error) {
	s := &rec.Samples
	start, end := instant(s.TimeMS[0]), instant(s.TimeMS[s.Len()-1])
	fit := proto.FIT{Messages: make([]proto.Message, 0, s.Len()+len(rec.Laps)+8)}
	add := func(m proto.Message) { fit.Messages = append(fit.Messages, m) }

	add(mesgdef.NewFileId(nil).
		SetType(typedef.FileActivity).SetManufacturer(typedef.ManufacturerDevelopment).
		SetProduct(product).SetProductName(rec.Device.Name).SetSerialNumber(serial).SetTimeCreated(start).
		ToMesg(nil))
	add(mesgdef.NewDeviceInfo(nil).
		SetTimestamp(start).SetDeviceIndex(typedef.DeviceIndexCreator).
		SetManufacturer(typedef.ManufacturerDevelopment).
		SetProduct(product).SetProductName(rec.Device.Name).SetSerialNumber(serial).
		ToMesg(nil))
	add(timer(start, typedef.EventTypeStart))
	pauses := rec.Pauses
	for i, ms := range s.TimeMS {
		if len(pauses) > 0 && ms >= pauses[0].EndMS {
			add(timer(instant(pauses[0].StartMS), typedef.EventTypeStopAll))
			add(timer(instant(pauses[0].EndMS), typedef.EventTypeStart))
			pauses = pauses[1:]
		}
		add(fitRecord(s, i, rec.Indoor))
	}
	add(timer(end, typedef.EventTypeStopAll))
	for i, l := range rec.Laps {
		add(fitLap(rec, i, l))
	}
	add(fitSession(rec, start, end))
	add(mesgdef.NewActivity(nil).
		SetTimestamp(end).SetLocalTimestamp(end.Add(*rec.UTCOffset)).
		SetTotalTimerTimeScaled(rec.Totals.TimerS).SetNumSessions(1).SetType(typedef.ActivityManual).
		SetEvent(typedef.EventActivity).SetEventType(typedef.EventTypeStop).
		ToMesg(nil))

	var out bytes.Buffer
	if err := encoder.New(&out, encoder.WithProtocolVersion(proto.V2)).Encode(&fit); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

// instant turns milliseconds since the epoch into a time.
func instant(ms int64) time.Time { return time.UnixMilli(ms).UTC() }

// timer is the event of the recording being started or stopped.
func timer(at time.Time, what typedef.EventType) proto.Message {
	return mesgdef.NewEvent(nil).SetTimestamp(at).SetEvent(typedef.EventTimer).SetEventType(what).ToMesg(nil)
}

// fitRecord is one sample. Consoles indoors still write the short speed field;
// devices with satellites write the enhanced ones.
func fitRecord(s *recording.Samples, i int, indoor bool) proto.Message {
	r := mesgdef.NewRecord(nil).SetTimestamp(instant(s.TimeMS[i]))
	set(s.HeartRate, i, func(v float64) { r.SetHeartRate(uint8(v)) })
	set(s.Power, i, func(v float64) { r.SetPower(uint16(v)) })
	set(s.Cadence, i, func(v float64) { r.SetCadence(uint8(v)) })
	set(s.Temperature, i, func(v float64) { r.SetTemperature(int8(v)) })
	// The library's own scaling cuts off where a device rounds.
	set(s.Grade, i, func(v float64) { r.SetGrade(int16(math.Round(100 * v))) })
	set(s.Distance, i, func(v float64) { r.SetDistance(uint32(math.Round(100 * v))) })
	set(s.Altitude, i, func(v float64) { r.SetEnhancedAltitude(uint32(math.Round(5 * (v + 500)))) })
	set(s.Speed, i, func(v float64) {
		if indoor {
			r.SetSpeed(uint16(math.Round(1000 * v)))
		} else {
			r.SetEnhancedSpeed(uint32(math.Round(1000 * v)))
		}
	})
	if p := s.Position; p != nil {
		r.SetPositionLat(semicircles.ToSemicircles(p.Latitude[i]))
		r.SetPositionLong(semicircles.ToSemicircles(p.Longitude[i]))
	}
	return r.ToMesg(nil)
}

// set calls to with the i-th value of a column, if there is one.
func set(column []float64, i int, to func(float64)) {
	if column != nil && !math.IsNaN(column[i]) {
		to(column[i])
	}
}

// fitSports are the format's words for the sports of the practice.
var fitSports = map[recording.Sport]typedef.Sport{
	recording.Cycling: typedef.SportCycling,
	recording.Running: typedef.SportRunning,
	recording.Walking: typedef.SportWalking,
}

// subSport tells a session indoors from one outdoors.
func subSport(rec *recording.Recording) typedef.SubSport {
	switch {
	case !rec.Indoor:
		return typedef.SubSportGeneric
	case rec.Sport == recording.Cycling:
		return typedef.SubSportIndoorCycling
	default:
		return typedef.SubSportTreadmill
	}
}

// The format's words for the intensity and the trigger of a lap.
var (
	fitIntensities = map[string]typedef.Intensity{
		"active": typedef.IntensityActive, "rest": typedef.IntensityRest,
		"warmup": typedef.IntensityWarmup, "cooldown": typedef.IntensityCooldown,
	}
	fitTriggers = map[string]typedef.LapTrigger{
		"manual": typedef.LapTriggerManual, "session_end": typedef.LapTriggerSessionEnd,
	}
)

// fitLap is one lap message.
func fitLap(rec *recording.Recording, i int, l recording.Lap) proto.Message {
	seconds := float64(l.EndMS-l.StartMS) / 1000
	m := mesgdef.NewLap(nil).
		SetMessageIndex(typedef.MessageIndex(i)).SetTimestamp(instant(l.EndMS)).SetStartTime(instant(l.StartMS)).
		SetEvent(typedef.EventLap).SetEventType(typedef.EventTypeStop).
		SetTotalElapsedTimeScaled(seconds).SetTotalTimerTimeScaled(seconds - paused(rec, l)).
		SetIntensity(fitIntensities[l.Intensity]).SetLapTrigger(fitTriggers[l.Trigger]).
		SetSport(fitSports[rec.Sport])
	if !math.IsNaN(l.MeanHeartRate) {
		m.SetAvgHeartRate(uint8(math.Round(l.MeanHeartRate)))
	}
	if !math.IsNaN(l.MeanPower) {
		m.SetAvgPower(uint16(math.Round(l.MeanPower)))
	}
	return m.ToMesg(nil)
}

// paused is how many seconds of a lap the recording stood still.
func paused(rec *recording.Recording, l recording.Lap) float64 {
	total := int64(0)
	for _, p := range rec.Pauses {
		total += max(0, min(p.EndMS, l.EndMS)-max(p.StartMS, l.StartMS))
	}
	return float64(total) / 1000
}

// fitSession is the summary of the whole recording.
func fitSession(rec *recording.Recording, start, end time.Time) proto.Message {
	t := rec.Totals
	m := mesgdef.NewSession(nil).
		SetTimestamp(end).SetStartTime(start).SetEvent(typedef.EventLap).SetEventType(typedef.EventTypeStop).
		SetSport(fitSports[rec.Sport]).SetSubSport(subSport(rec)).
		SetTotalElapsedTimeScaled(t.ElapsedS).SetTotalTimerTimeScaled(t.TimerS).
		SetFirstLapIndex(0).SetNumLaps(uint16(len(rec.Laps))).SetTrigger(typedef.SessionTriggerActivityEnd)
	whole := func(v float64, to func(float64)) {
		if !math.IsNaN(v) {
			to(math.Round(v))
		}
	}
	whole(t.MeanHR, func(v float64) { m.SetAvgHeartRate(uint8(v)) })
	whole(t.MaxHR, func(v float64) { m.SetMaxHeartRate(uint8(v)) })
	whole(t.MeanPower, func(v float64) { m.SetAvgPower(uint16(v)) })
	whole(t.MaxPower, func(v float64) { m.SetMaxPower(uint16(v)) })
	if !math.IsNaN(t.DistanceM) {
		m.SetTotalDistance(uint32(math.Round(100 * t.DistanceM)))
		m.SetEnhancedAvgSpeed(uint32(math.Round(1000 * t.MeanSpeed)))
		m.SetEnhancedMaxSpeed(uint32(math.Round(1000 * t.MaxSpeed)))
	}
	if rec.RatedExertion != nil {
		// The field holds ten times the rating.
		m.SetWorkoutRpe(uint8(10 * *rec.RatedExertion))
	}
	return m.ToMesg(nil)
}
