package tcx

import (
	"encoding/xml"
	"math"

	"boutwise/parsers/motion"
	"boutwise/parsers/recording"
	"boutwise/parsers/xmlstream"
)

// activity is one activity while it is read.
type activity struct {
	*reader
	rec    *recording.Recording
	laps   []lap
	starts []int // samples that begin a new stretch after a pause
}

// lap is a lap as the document has it.
type lap struct {
	startMS               int64
	totalS, distanceM     float64 // without pauses
	meanHR, maxHR         float64
	meanPower, maxPower   float64
	meanSpeed, maxSpeed   float64
	intensity, trigger    string
	firstSample, nSamples int
}

// activity reads one activity, whose elements each gives to a visitor, and
// keeps it if it has samples.
func (r *reader) activity(sport recording.Sport, indoor bool, each func(func(xml.StartElement) error) error) error {
	// Counted before anything can go wrong: a document whose activities are all
	// empty is told from one of courses only.
	r.activities++
	if err := r.mark(); err != nil {
		return err
	}
	a := &activity{reader: r, rec: &recording.Recording{
		Format: recording.TCX, Sport: sport, Indoor: indoor,
		Samples: recording.Samples{Position: &recording.Position{}},
	}}
	// Lap and creator come in either order, and the summary elements between
	// them (Id, Notes, Training) say nothing that is used.
	err := each(func(t xml.StartElement) error {
		switch t.Name.Local {
		case "Lap":
			return a.lap(t)
		case "Creator":
			return a.creator()
		}
		return a.skip(t)
	})
	// An activity typed in by hand has laps and no track: there is nothing to
	// measure in it.
	if err == nil && a.rec.Samples.Len() > 0 {
		a.finish()
		r.recs = append(r.recs, a.rec)
	}
	return err
}

// creator reads the device.
func (a *activity) creator() error {
	// The schema types it as a device or an application; a name is all that
	// both have.
	return a.children(func(t xml.StartElement) error {
		switch t.Name.Local {
		case "Name":
			return a.text(&a.rec.Device.Name)
		case "UnitId":
			return a.text(&a.rec.Device.Serial)
		}
		return a.skip(t)
	})
}

// lap reads one lap with its tracks.
func (a *activity) lap(t xml.StartElement) error {
	if err := a.mark(); err != nil {
		return err
	}
	// Absent figures stay NaN: a lap with a mean power of 0 W is another thing
	// than one without.
	nan := math.NaN()
	l := lap{
		totalS: nan, distanceM: nan, meanHR: nan, maxHR: nan, meanPower: nan, maxPower: nan,
		meanSpeed: nan, maxSpeed: nan, firstSample: a.rec.Samples.Len(),
	}
	// The attribute is required, yet left out by some writers: see below.
	if start, ok := xmlstream.Time(xmlstream.Attribute(t, "StartTime")); ok {
		l.startMS = start.UnixMilli()
	}
	// A lap holds its tracks among its figures, in any order.
	tracks := 0
	err := a.children(func(t xml.StartElement) error {
		if t.Name.Local == "Track" {
			tracks++
			return a.track(tracks > 1)
		}
		return a.lapChild(t, &l)
	})
	// Samples lie in one column over all laps; a lap knows its own by number.
	l.nSamples = a.rec.Samples.Len() - l.firstSample
	// A lap without a start of its own begins with its first sample.
	if l.startMS == 0 && l.nSamples > 0 {
		l.startMS = a.rec.Samples.TimeMS[l.firstSample]
	}
	// One with neither a start nor a sample cannot be placed in time.
	if l.startMS != 0 {
		a.laps = append(a.laps, l)
	}
	return err
}

// lapChild reads what stands in a lap beside its tracks, the lap extension
// (LX) included.
func (a *activity) lapChild(t xml.StartElement, l *lap) error {
	switch t.Name.Local {
	case "TotalTimeSeconds":
		return a.number(&l.totalS)
	case "DistanceMeters":
		return a.number(&l.distanceM)
	case "MaximumSpeed":
		return a.number(&l.maxSpeed)
	// Heart rates are wrapped in an element Value, other figures are not.
	case "AverageHeartRateBpm":
		return a.value(&l.meanHR)
	case "MaximumHeartRateBpm":
		return a.value(&l.maxHR)
	case "Intensity":
		return a.text(&l.intensity)
	case "TriggerMethod":
		return a.text(&l.trigger)
	// Prefixes of the extension vary from writer to writer and may be missing,
	// so its children are taken by their names wherever they stand in the lap.
	case "Extensions", "LX":
		return a.children(func(t xml.StartElement) error { return a.lapChild(t, l) })
	case "AvgSpeed":
		return a.number(&l.meanSpeed)
	case "AvgWatts":
		return a.number(&l.meanPower)
	case "MaxWatts":
		return a.number(&l.maxPower)
	}
	return a.skip(t)
}

// track reads one track. A lap has one a stretch of recording: a further one
// means that the device paused.
func (a *activity) track(further bool) error {
	if err := a.mark(); err != nil {
		return err
	}
	// An empty first track says nothing of a pause: only a track with samples
	// behind earlier samples does.
	s := &a.rec.Samples
	before := s.Len()
	err := a.children(func(t xml.StartElement) error {
		if t.Name.Local == "Trackpoint" {
			return a.trackpoint()
		}
		return a.skip(t)
	})
	if further && before > 0 && s.Len() > before {
		// No speed may be derived from one side of a pause to the other.
		a.starts = append(a.starts, before)
		// Clocks that were set back make the second track begin before the first
		// ended; such a pause has no length.
		if from, to := s.TimeMS[before-1], s.TimeMS[before]; from < to {
			a.rec.Pauses = append(a.rec.Pauses, recording.Pause{StartMS: from, EndMS: to})
		}
	}
	return err
}

// finish drops empty channels, derives missing ones, and turns laps and totals
// into the common form.
func (a *activity) finish() {
	// First the empty channels, so that a derived one is not taken for measured.
	a.rec.Samples.DropEmpty()
	motion.Complete(&a.rec.Samples, a.starts)
	for i := range a.laps {
		a.rec.Laps = append(a.rec.Laps, a.commonLap(i))
	}
	a.rec.Totals = totals(a.laps)
}

// commonLap gives lap i. It lasts to the next one's start, pauses included, or
// to the activity's last sample; its own total leaves pauses out.
func (a *activity) commonLap(i int) recording.Lap {
	l := &a.laps[i]
	// The total may be absurd in a damaged file, or stop short of the samples.
	end := l.startMS
	if !math.IsNaN(l.totalS) {
		end += int64(math.Round(1000 * math.Min(math.Max(l.totalS, 0), maxLapS)))
	}
	if l.nSamples > 0 {
		end = max(end, a.rec.Samples.TimeMS[l.firstSample+l.nSamples-1])
	}
	// The next lap's start is when the button was pressed, which no sum of
	// seconds is as sure of.
	if i+1 < len(a.laps) && a.laps[i+1].startMS > l.startMS {
		end = a.laps[i+1].startMS
	}
	return recording.Lap{
		StartMS: l.startMS, EndMS: end, Intensity: intensities[l.intensity], Trigger: triggers[l.trigger],
		MeanPower: l.meanPower, MeanHeartRate: l.meanHR,
	}
}

// maxLapS keeps an absurd lap length within what milliseconds can count: a
// week.
const maxLapS = 7 * 24 * 3600

// intensities and triggers map the schema's words to the common form's.
var (
	// The schema has these two only: warm-up and recovery are laps like others.
	intensities = map[string]string{"Active": "active", "Resting": "rest"}
	triggers    = map[string]string{
		"Manual": "manual", "Distance": "distance", "Location": "position", "Time": "time", "HeartRate": "heart_rate",
	}
)

// totals sums the laps up: TCX has no summary of an activity. Means are
// weighted by the laps' time.
func totals(laps []lap) recording.Totals {
	t := recording.NoTotals()
	if len(laps) == 0 {
		return t
	}
	// The activity's own Id is its start too, but some writers put a name there.
	t.StartMS = laps[0].startMS
	// A sum of nothing stays missing; a lap without the figure adds nothing.
	sum := func(into *float64, value float64) {
		if !math.IsNaN(value) {
			*into = value + zeroIfNaN(*into)
		}
	}
	for i := range laps {
		l := &laps[i]
		// TotalTimeSeconds leaves pauses out, so the sum is the timer's time and the
		// elapsed time stays unknown.
		sum(&t.TimerS, l.totalS)
		sum(&t.DistanceM, l.distanceM)
		t.MaxHR = larger(t.MaxHR, l.maxHR)
		t.MaxPower = larger(t.MaxPower, l.maxPower)
		t.MaxSpeed = larger(t.MaxSpeed, l.maxSpeed)
	}
	t.MeanHR = weighted(laps, func(l *lap) float64 { return l.meanHR })
	t.MeanPower = weighted(laps, func(l *lap) float64 { return l.meanPower })
	t.MeanSpeed = weighted(laps, func(l *lap) float64 { return l.meanSpeed })
	return t
}

// zeroIfNaN starts a sum.
func zeroIfNaN(v float64) float64 {
	if math.IsNaN(v) {
		return 0
	}
	return v
}

// larger is the larger of two values of which either may be missing.
func larger(a, b float64) float64 {
	// A comparison with NaN is false: a missing b leaves a as it is.
	if math.IsNaN(a) || b > a {
		return b
	}
	return a
}

// weighted is the mean of a lap figure over time; NaN when no lap has it.
func weighted(laps []lap, figure func(*lap) float64) float64 {
	var sum, seconds float64
	for i := range laps {
		v, w := figure(&laps[i]), laps[i].totalS
		// A lap of no length weighs nothing, and one without the figure must not
		// draw the mean towards 0.
		if !math.IsNaN(v) && w > 0 {
			sum += v * w
			seconds += w
		}
	}
	return sum / seconds // 0/0 is NaN
}
