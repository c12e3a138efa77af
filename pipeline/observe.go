package pipeline

import (
	"math"
	"time"

	"boutwise/metrics"
	"boutwise/metrics/bouts"
	"boutwise/parsers/recording"
	"boutwise/pipeline/tables"
)

// About is what is known of a session besides its trace, from the exports.
type About struct {
	ClientID      string
	SessionID     string
	Sport         recording.Sport
	Indoor        bool
	UTCOffsetS    *int
	RatedExertion *float64
	Laps          []lapRecord
	Pauses        []pauseRecord
	Repairs       metrics.Repairs
}

// Observing is the part of the settings that [Observe] rests on.
type Observing struct {
	_      struct{} `cbor:",toarray"`
	Bouts  bouts.Settings
	Pacing metrics.PacingLimits
	Kinds  metrics.KindLimits
}

// Observe measures a trace as far as it goes without any fact about the
// client. It is pure.
func Observe(tr *metrics.Trace, about About, set Observing) Observation {
	gait := gaitOf(about.Sport, tr.Speed)
	grade := gradeOf(tr, about.Indoor)
	out, found := findBouts(tr, outputs(tr, gait, grade), about, set.Bouts)

	obs := Observation{
		Session: sessionTotals(tr, about), UTCOffsetS: about.UTCOffsetS,
		HeartRate: metrics.CountValues(tr.HeartRate),
		Output: &outputCounts{
			Power: pack(metrics.CountValues(tr.Power)),
			Speed: pack(metrics.CountValues(tr.Speed)),
		},
	}
	measured := measuredBouts{tr: tr, about: about, out: out, grade: grade, set: set}
	obs.Bouts = measured.rows(found)
	measured.summarise(&obs.Session, found)
	return obs
}

// findBouts looks in the preferred signal. On a treadmill that does not report
// its grade, the speed tells half the work: there, and there only, heart rate
// is asked when speed shows nothing.
func findBouts(tr *metrics.Trace, list []output, about About, set bouts.Settings) (output, []bouts.Bout) {
	if len(list) == 0 {
		return output{}, nil
	}
	in := bouts.Input{
		Signal: list[0].signal, Values: list[0].values,
		Recorded: tr.Recorded, Observed: tr.Observed,
		Altitude: tr.Altitude, HeartRate: tr.HeartRate,
	}
	if about.Indoor {
		in.Altitude = nil
	}
	found := bouts.Find(in, set)
	last := list[len(list)-1]
	if len(found) == 0 && about.Indoor && in.Signal == bouts.Speed && last.signal == bouts.HeartRate {
		in.Signal, in.Values = last.signal, last.values
		if byHeart := bouts.Find(in, set); len(byHeart) > 0 {
			return last, byHeart
		}
	}
	return list[0], found
}

// sessionTotals fills what needs no bouts.
func sessionTotals(tr *metrics.Trace, about About) tables.Session {
	whole := metrics.Stretch{End: float64(tr.N)}
	rep := about.Repairs
	return tables.Session{
		ClientID: about.ClientID, SessionID: about.SessionID,
		StartedUTC:     time.Unix(tr.StartUnix, 0).UTC(),
		Sport:          string(about.Sport),
		DurationS:      float64(max(0, tr.N-1)),
		RecordedS:      float64(tr.RecordedSeconds()),
		SilentS:        float64(metrics.SilentSeconds(tr.Recorded, about.pauses(tr.StartUnix))),
		MeanHR:         tables.Num(whole.Mean(tr.HeartRate)),
		MaxHR:          tables.Num(whole.Peak(tr.HeartRate)),
		MeanPower:      tables.Num(whole.Mean(tr.Power)),
		MeanSpeed:      tables.Num(whole.Mean(tr.Speed)),
		Distance:       tables.Num(covered(tr.Distance)),
		HRCoverage:     100 * coverage(tr, tr.HeartRate),
		PowerCoverage:  100 * coverage(tr, tr.Power),
		SpeedCoverage:  100 * coverage(tr, tr.Speed),
		BridgedS:       float64(rep.BridgedS),
		CadenceLock:    tables.Num(cadenceLock(tr, about.Sport)),
		DroppedSamples: int64(rep.Backward + rep.Duplicate + rep.Stray),
		HRSamples:      int64(rep.Channel["heart_rate"].Seen),
		HRRepaired:     int64(rep.Channel["heart_rate"].Total()),
		PowerRepaired:  int64(rep.Channel["power"].Total()),
		RatedExertion:  about.RatedExertion,
	}
}

// cadenceLock looks for a sensor that counts steps, where there are any: a
// pedal has none, and at 60 a minute twice the cadence is an ordinary heart
// rate.
func cadenceLock(tr *metrics.Trace, sport recording.Sport) float64 {
	if gaitOf(sport, tr.Speed) == "" && sport != recording.Elliptical {
		return math.NaN()
	}
	return metrics.CadenceLock(tr.HeartRate, tr.Cadence)
}

// pauses are the pauses that the exports tell, in seconds of the trace.
func (a *About) pauses(start int64) []metrics.Stretch {
	stretches := make([]metrics.Stretch, len(a.Pauses))
	for i, p := range a.Pauses {
		stretches[i] = metrics.Stretch{Start: p.Start - float64(start), End: p.End - float64(start)}
	}
	return stretches
}

// covered is the distance from the first valid value to the last.
func covered(distance []float64) float64 {
	first, last := math.NaN(), math.NaN()
	for _, v := range distance {
		if math.IsNaN(first) {
			first = v
		}
		if !math.IsNaN(v) {
			last = v
		}
	}
	return last - first
}

// measuredBouts measures the bouts of one session.
type measuredBouts struct {
	tr    *metrics.Trace
	about About
	out   output
	grade []float64
	set   Observing
}

// produced is the output where it is one: heart rate is an answer to work, not
// the work.
func (m measuredBouts) produced() []float64 {
	if m.out.signal == bouts.HeartRate {
		return nil
	}
	return m.out.values
}

func (m measuredBouts) rows(found []bouts.Bout) []ObservedBout {
	recoveries := m.recoveries(found)
	rows := make([]ObservedBout, len(found))
	for i, b := range found {
		s := stretchOf(b)
		rows[i] = ObservedBout{
			Row:       m.row(i, b, s, recoveries[i]),
			HeartRate: pack(metrics.CountValues(s.Of(m.tr.HeartRate))),
		}
	}
	return rows
}

func stretchOf(b bouts.Bout) metrics.Stretch { return metrics.Stretch{Start: b.Start, End: b.End} }

// recoveries gives each bout's recovery. One that only might be a bout does
// not end the recovery of one that is.
func (m measuredBouts) recoveries(found []bouts.Bout) []metrics.Recovery {
	values := m.withStops()
	var all, confirmed []metrics.Stretch
	for _, b := range found {
		all = append(all, stretchOf(b))
		if b.Confidence == bouts.Confirmed {
			confirmed = append(confirmed, stretchOf(b))
		}
	}
	recoveries := metrics.Recoveries(values, m.tr.Recorded, all)
	ofConfirmed := metrics.Recoveries(values, m.tr.Recorded, confirmed)
	for i, b := range found {
		if b.Confidence == bouts.Confirmed {
			recoveries[i], ofConfirmed = ofConfirmed[0], ofConfirmed[1:]
		}
	}
	return recoveries
}

// withStops is the output with zero wherever the recording was stopped: a
// client who stops the device to rest produces nothing.
func (m measuredBouts) withStops() []float64 {
	values := m.produced()
	if values == nil {
		values = make([]float64, m.tr.N)
		for i := range values {
			values[i] = math.NaN()
		}
		return values
	}
	filled := append([]float64(nil), values...)
	for i, on := range m.tr.Recorded {
		if !on {
			filled[i] = 0
		}
	}
	return filled
}

func (m measuredBouts) row(i int, b bouts.Bout, s metrics.Stretch, rec metrics.Recovery) tables.Bout {
	tr, values := m.tr, m.produced()
	at := func(seconds float64) time.Time {
		return time.UnixMilli(tr.StartUnix*1000 + int64(math.Round(seconds*1000))).UTC()
	}
	quarters := metrics.Quarters(values, s)
	row := tables.Bout{
		ClientID: m.about.ClientID, SessionID: m.about.SessionID, Bout: int32(i + 1),
		Kind:       string(metrics.BoutKindOf(s.Duration(), m.set.Kinds)),
		Confidence: string(b.Confidence), Score: b.Score, Signal: string(m.out.signal),
		StartUTC: at(b.Start), EndUTC: at(b.End),
		StartS: b.Start, EndS: b.End, DurationS: b.Duration(),
		StartUncertainty: b.StartHalf, EndUncertainty: b.EndHalf,
		MeanPower:         tables.Num(s.Mean(tr.Power)),
		MeanSpeed:         tables.Num(s.Mean(tr.Speed)),
		MeanGrade:         tables.Num(s.Mean(m.grade)),
		SteadinessCV:      tables.Num(metrics.SteadinessCV(values, s)),
		Drift:             tables.Num(metrics.DriftPerMinute(values, s)),
		Quarter1:          tables.Num(quarters[0]),
		Quarter2:          tables.Num(quarters[1]),
		Quarter3:          tables.Num(quarters[2]),
		Quarter4:          tables.Num(quarters[3]),
		MeanHR:            tables.Num(s.Mean(tr.HeartRate)),
		PeakHR:            tables.Num(s.Peak(tr.HeartRate)),
		HRAtThreeQuarters: tables.Num(metrics.HRAtThreeQuarters(tr.HeartRate, s)),
		Recovery:          tables.Num(rec.Duration()),
		RecoveryOutput:    tables.Num(rec.OutputPct),
		RecoveryKind:      string(rec.Kind),
		WorkToRecovery:    tables.Num(rec.WorkToRecovery),
		HRRecovery60:      tables.Num(metrics.HRRecovery60(tr.HeartRate, s.End)),
		HRRecoveryTau:     tables.Num(metrics.HRRecoveryTau(tr.HeartRate, rec.Stretch)),
		LapMatch:          lapMatch(m.about.Laps, float64(tr.StartUnix), s),
	}
	if values != nil {
		row.Pacing = string(metrics.PacingOf(values, s, m.set.Pacing))
	}
	if m.out.signal == bouts.OxygenCost {
		row.MeanOxygenCost = tables.Num(s.Mean(values))
	}
	return row
}

// summarise fills the session's columns that rest on its confirmed bouts.
func (m measuredBouts) summarise(row *tables.Session, found []bouts.Bout) {
	var confirmed []metrics.Stretch
	var means []float64
	for _, b := range found {
		if b.Confidence != bouts.Confirmed {
			row.PossibleBouts++
			continue
		}
		s := stretchOf(b)
		confirmed = append(confirmed, s)
		row.WorkS += s.Duration()
		if values := m.produced(); values != nil {
			means = append(means, s.Mean(values))
		}
	}
	session := float64(m.tr.N)
	endurance := m.about.Sport != recording.Transition && m.about.Sport != recording.Swimming
	kind := metrics.SessionKindOf(endurance, session, row.TrainedS(), confirmed, m.set.Kinds)
	row.Bouts = int32(len(confirmed))
	row.Kind = string(kind)
	row.OutputSignal = string(m.out.signal)
	row.WarmupS = tables.Num(metrics.WarmUp(confirmed))
	row.CooldownS = tables.Num(metrics.CoolDown(confirmed, session))
	if m.out.signal == bouts.OxygenCost {
		row.MeanOxygenCost = tables.Num(metrics.Stretch{End: session}.Mean(m.out.values))
	}
	row.BetweenBoutCV = tables.Num(metrics.BetweenBoutCV(means))
	row.LastToFirst = tables.Num(metrics.LastToFirst(means))
	if steady := (metrics.Stretch{End: session}); kind == metrics.Base || kind == metrics.BaseWithBursts {
		if len(confirmed) > 0 {
			steady.End = confirmed[0].Start
		}
		row.HRDrift = tables.Num(metrics.HRDrift(m.tr.HeartRate, m.produced(), steady))
	}
}

// lapTolerance is how far, in seconds, a pressed lap may lie from a bout's
// boundary and still be the same: a thumb is late by a few seconds.
const lapTolerance = 10

// lapMatch tells whether one of the pressed laps has both of the bout's
// boundaries; nil where no lap was pressed.
func lapMatch(laps []lapRecord, start float64, s metrics.Stretch) *bool {
	pressed, match := 0, false
	for _, lap := range laps {
		if !lap.Pressed {
			continue
		}
		pressed++
		if math.Abs(lap.Start-start-s.Start) <= lapTolerance && math.Abs(lap.End-start-s.End) <= lapTolerance {
			match = true
		}
	}
	if pressed == 0 {
		return nil
	}
	return &match
}
