package pipeline

import (
	"time"

	"boutwise/metrics"
	"boutwise/metrics/bouts"
	"boutwise/parsers/recording"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/tables"
)

// Measurement is one session's rows.
type Measurement struct {
	Session   tables.Session
	Bouts     []tables.Bout
	BandTimes []tables.BandTime
}

// Measure measures one session: a pure function of its trace, what the
// exports say of it, the client's facts on its day, and the settings.
func Measure(tr *metrics.Trace, about About, facts practice.Facts, set practice.Settings) Measurement {
	obs := Observe(tr, about, observing(set))
	return judge(&obs, facts, set.Location, make([]tables.Bout, len(obs.Bouts)))
}

// localDate is the calendar day of a session where the client was: by the
// offset that the device knew, else in the practice's zone.
func localDate(obs *Observation, zone *time.Location) calendar.Date {
	if obs.UTCOffsetS != nil {
		zone = time.FixedZone("", *obs.UTCOffsetS)
	}
	return calendar.DateOf(obs.Session.StartedUTC.In(zone))
}

// judge applies the facts of the session's day to what was observed, with room
// for as many bouts. The observation is not modified.
func judge(obs *Observation, facts practice.Facts, zone *time.Location, room []tables.Bout) Measurement {
	m := Measurement{Session: obs.Session, Bouts: room}
	s := &m.Session
	s.LocalDate = localDate(obs, zone)
	s.MaxHREstimated = facts.MaxHREstimated
	s.TrainingImpulse = tables.Num(metrics.TrainingImpulse(obs.HeartRate, facts.RestingHR, facts.MaxHR, facts.Sex))
	var heartRate metrics.Counts
	for i, b := range obs.Bouts {
		heartRate = b.HeartRate.counts(heartRate)
		row := b.Row
		row.NearMaxHR = tables.Num(metrics.NearMaxSeconds(heartRate, facts.MaxHR))
		row.MaxHREstimated = facts.MaxHREstimated && row.NearMaxHR != nil
		if s.Sport == string(recording.Cycling) && b.Row.Signal == string(bouts.Power) {
			row.MeanOxygenCost = tables.Num(metrics.CyclingCost(tables.Value(row.MeanPower), facts.BodyMass))
		}
		m.Bouts[i] = row
	}
	for _, set := range facts.Bands {
		m.BandTimes = append(m.BandTimes, bandRows(obs, set)...)
	}
	return m
}

// bandRows is the time of one session in one signal's bands; nil where the
// signal was not measured.
func bandRows(obs *Observation, set practice.BandSet) []tables.BandTime {
	var counts metrics.Counts
	switch set.Signal {
	case practice.BandHeartRate:
		counts = obs.HeartRate
	case practice.BandPower:
		counts = obs.Output.Power.counts(nil)
	case practice.BandSpeed:
		counts = obs.Output.Speed.counts(nil)
	}
	total := counts.Seconds()
	if total == 0 {
		return nil
	}
	spent := counts.BandTime(metrics.Edges(set.Lower))
	var rows []tables.BandTime
	add := func(name string, lower float64, upper *float64, seconds int) {
		row := tables.BandTime{
			ClientID: obs.Session.ClientID, SessionID: obs.Session.SessionID,
			Signal: string(set.Signal), Band: name, Lower: lower, Upper: upper,
			Seconds: int64(seconds), Share: 100 * float64(seconds) / float64(total),
			Estimated: set.Estimated,
		}
		if !set.Default {
			from := set.EffectiveFrom
			row.EffectiveFrom = &from
		}
		rows = append(rows, row)
	}
	if len(set.Lower) > 0 && set.Lower[0] > 0 {
		// The sum over bands is the seconds with a value, so what lies below
		// the lowest edge has a row too.
		add("below_"+set.Names[0], 0, &set.Lower[0], spent.Below)
	}
	for i, name := range set.Names {
		var upper *float64
		if i+1 < len(set.Lower) {
			upper = &set.Lower[i+1]
		}
		add(name, set.Lower[i], upper, spent.Bands[i])
	}
	return rows
}
