package demo

import (
	"math"
	"math/rand/v2"
	"time"

	"boutwise/metrics/bouts"
	"boutwise/metrics/synthetic"
	"boutwise/parsers/recording"
	"boutwise/pipeline/practice"
)

// work is all that comes of one client.
type work struct {
	files    []file // below inbox/
	truths   []FileTruth
	sessions []SessionTruth
}

// invent simulates one client's weeks and puts the exports into the inbox.
func invent(c client, cal calendar, seed, stream uint64) (work, error) {
	rng := synthetic.NewRand(seed, stream)
	box := newInbox(c, cal)
	var w work
	for _, o := range c.outings(cal, rng) {
		truth, rec := c.do(o, cal, rng)
		paths, err := box.put(o, rec)
		if err != nil {
			return work{}, err
		}
		truth.Paths = paths
		w.sessions = append(w.sessions, truth)
	}
	var err error
	w.files, err = box.pack()
	w.truths = box.truths
	return w, err
}

// do simulates one session: what the client did and what the device wrote.
func (c client) do(o outing, cal calendar, rng *rand.Rand) (SessionTruth, recording.Recording) {
	b, m := c.body.inWeek(o.week), c.kit.machine
	p := c.habits.planned(o, b, m, rng)
	effort := p.render(m.edge)
	for i, e := range m.terrain.Series(rng, len(effort)) {
		effort[i] += e
	}

	var s recording.Samples
	for i := range effort {
		s.TimeMS = append(s.TimeMS, o.start.UnixMilli()+1000*int64(i))
	}
	output := m.drive(&s, c, b, effort, m.unsteady.Series(rng, len(effort)), rng)
	heart := b.heartRate(effort, rng)
	s.HeartRate = wear(heart, s.Cadence, o.what, rng)
	if c.kit.warm {
		s.Temperature = warmth(len(effort))
	}

	truth := SessionTruth{
		Client: c.who.ID, Week: o.week, ISOWeek: cal.isoWeek(o.week), StartUTC: o.start.UTC(),
		Sport: m.sport, Kind: o.kind, DurationS: float64(len(effort) - 1),
		OutputSignal: m.signal, Trouble: o.what.trouble(), RatedExertion: c.rating(o, p),
	}
	truth.measure(p, output, heart, c.habits.shape)
	rec := c.record(o, s, p.bouts(), rng)
	rec.RatedExertion = truth.RatedExertion
	truth.WrittenS = truth.DurationS
	if o.what == cutInHalf {
		truth.WrittenS /= 2
	}
	return truth, rec
}

// measure fills in what the session's columns tell.
func (t *SessionTruth) measure(p plan, output, heart []float64, s shape) {
	if t.OutputSignal == bouts.HeartRate {
		output = heart
	}
	t.MeanOutput, _ = meanMax(output)
	t.MeanHR, t.MaxHR = meanMax(heart)
	for _, at := range p.bouts() {
		b := BoutTruth{
			StartS: float64(at.start), EndS: float64(at.end),
			MeanOutput: mean(output, at), MeanHR: mean(heart, at), Pacing: "even",
		}
		if t.Kind == practice.Intervals {
			b.Pacing = s.pacing()
		}
		for q := range b.Quarters {
			quarter := span{at.start + (at.end-at.start)*q/4, at.start + (at.end-at.start)*(q+1)/4}
			b.Quarters[q] = 100 * mean(output, quarter) / b.MeanOutput
		}
		t.Bouts = append(t.Bouts, b)
	}
}

// record is what the device makes of the session.
func (c client) record(o outing, s recording.Samples, at []span, rng *rand.Rand) recording.Recording {
	m := c.kit.machine
	rec := recording.Recording{
		Format: c.kit.format, Sport: m.sport, Indoor: m.indoor,
		Device: recording.Device{Name: c.kit.name}, Laps: whole(&s),
	}
	if c.kit.laps && len(at) > 0 {
		rec.Laps = pressed(&s, at, rng)
	}
	_, seconds := o.start.Zone()
	offset := time.Duration(seconds) * time.Second
	rec.UTCOffset = &offset

	keep := make([]bool, s.Len())
	for i := range keep {
		keep[i] = true
	}
	if c.kit.onChange {
		keep = onChange(&s)
	}
	if c.kit.pauses {
		gap := stop(s.Len(), at, rng)
		rec.Pauses = []recording.Pause{{StartMS: s.TimeMS[gap.start-1], EndMS: s.TimeMS[gap.end]}}
		for i := gap.start; i < gap.end; i++ {
			keep[i] = false
		}
	}
	rec.Samples = thin(s, keep)
	rec.Totals = totals(&rec)
	return rec
}

// totals is the device's own summary.
func totals(rec *recording.Recording) recording.Totals {
	s := &rec.Samples
	nan := math.NaN()
	first, last := s.TimeMS[0], s.TimeMS[s.Len()-1]
	t := recording.Totals{StartMS: first, DistanceM: nan, MeanPower: nan, MaxPower: nan, MeanSpeed: nan, MaxSpeed: nan}
	t.ElapsedS = float64(last-first) / 1000
	t.TimerS = t.ElapsedS
	for _, p := range rec.Pauses {
		t.TimerS -= float64(p.EndMS-p.StartMS) / 1000
	}
	t.MeanHR, t.MaxHR = meanMax(s.HeartRate)
	if s.Power != nil {
		t.MeanPower, t.MaxPower = meanMax(s.Power)
	}
	if s.Distance != nil {
		t.DistanceM = s.Distance[s.Len()-1]
		t.MeanSpeed, t.MaxSpeed = meanMax(s.Speed)
	}
	return t
}

// trouble is what a happening does to the data; "" where the data are sound.
func (h happening) trouble() string {
	switch h {
	case dropouts, frozen, cadenceLocked, cutInHalf:
		return string(h)
	}
	return ""
}

// rating is the client's own rating of exertion from 0 to 10, or nil. It
// follows the hardest thing done, as people's ratings tend to (from memory).
func (c client) rating(o outing, p plan) *float64 {
	if !c.habits.rates {
		return nil
	}
	hardest := 0.0
	for _, s := range p {
		level := max(s.from, s.to)
		if s.shape != nil {
			level *= s.shape(0)
		}
		hardest = max(hardest, level)
	}
	rated := math.Round(min(10, 9*hardest))
	if o.kind == practice.BaseWithBursts {
		// A few short bursts weigh less than minutes of work.
		rated--
	}
	return &rated
}

// warmth is the temperature of a room that warms up a little, in whole
// degrees Celsius.
func warmth(n int) []float64 {
	t := make([]float64, n)
	for i := range t {
		t[i] = 19 + math.Floor(float64(i)/1200)
	}
	return t
}
