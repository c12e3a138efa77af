package main

import (
	"fmt"
	"math"
	"strings"

	"boutwise/metrics"
	"boutwise/pipeline"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/tables"
	"boutwise/pipeline/units"
)

// inspectionView shows one recording on a screen.
type inspectionView struct {
	screen screen
	units  units.System
	in     pipeline.Inspection
}

func (v inspectionView) lines() []string {
	s := v.in.Measurement.Session
	lines := append([]string{""}, v.title()...)
	lines = append(lines, "")
	channels, dropped := v.channels().lines(v.screen)
	lines = append(lines, channels...)
	if len(dropped) > 0 {
		lines = append(lines, wrap(noRoom(dropped), "  ", v.screen.width)...)
	}
	if v.in.Output == nil {
		lines = append(lines, "")
		return append(lines, wrap("Nothing to look for bouts in: neither power nor pace nor heart rate was recorded for most of it.", "  ", v.screen.width)...)
	}
	lines = append(lines, "")
	lines = append(lines, v.drawings()...)
	lines = append(lines, "")
	lines = append(lines, v.boutLines(s, v.in.Measurement.Bouts)...)
	return lines
}

// title tells what the recording is and what was amiss with it.
func (v inspectionView) title() []string {
	in, s := v.in, v.in.Measurement.Session
	place := clean(in.Path)
	if in.Leg > 0 {
		place += fmt.Sprintf(", leg %d", in.Leg+1)
	}
	device := clean(in.Device)
	if device == "" {
		device = "a device without a name"
	}
	what := fmt.Sprintf("%s on %s", words(s.Sport), s.StartedUTC.Format("2006-01-02 at 15:04 UTC"))
	if s.LocalDate != calendar.DateOf(s.StartedUTC) {
		what += fmt.Sprintf(" (%s where the client was)", s.LocalDate)
	}
	what += ", " + clock(s.DurationS)
	if d := v.units.Distance(); s.Distance != nil && *s.Distance > 0 {
		what += fmt.Sprintf(", %s %s", d.Number(*s.Distance), d.Name)
	}
	lines := []string{v.screen.paint(inkStrong, place)}
	lines = append(lines, wrap(what+", from "+device, "  ", v.screen.width)...)
	if in.Reason != "" {
		lines = append(lines, wrap("salvaged: "+clean(in.Reason), "  ", v.screen.width)...)
	}
	if amends := v.amends(); len(amends) > 0 {
		lines = append(lines, wrap(strings.Join(amends, "; "), "  ", v.screen.width)...)
	}
	return lines
}

// amends tells what bringing the recording to one value a second took.
func (v inspectionView) amends() []string {
	var list []string
	rep := v.in.Repairs
	silent := v.in.Measurement.Session.SilentS
	if stopped := float64(rep.PausedS) - silent; stopped > 0 {
		list = append(list, fmt.Sprintf("stopped for %s of it", clock(stopped)))
	}
	if silent > 0 {
		list = append(list, fmt.Sprintf("nothing written for %s of it, in gaps of 11 to 60 s: set the device to record every second", clock(silent)))
	}
	if rep.BridgedS > 0 {
		list = append(list, fmt.Sprintf("%s filled in between samples at most 10 s apart", clock(float64(rep.BridgedS))))
	}
	if n := rep.Backward + rep.Stray + rep.Duplicate; n > 0 {
		list = append(list, plural(n, "sample", "samples")+" dropped for a time that ran backwards, stood still or lay days away")
	}
	return list
}

// channelFigures are what was measured of one channel, in SI units.
type channelFigures struct {
	spec            metrics.ChannelSpec
	covers          float64 // percent of the recorded seconds
	mean, low, high float64
	repairs         metrics.ChannelRepairs
}

// channelsOf lists the channels that hold anything.
func channelsOf(in pipeline.Inspection) []channelFigures {
	var list []channelFigures
	recorded := float64(max(1, in.Trace.RecordedSeconds()))
	for _, spec := range metrics.ChannelSpecs {
		col := *spec.Column(&in.Trace.Channels)
		counts := metrics.CountValues(col)
		if len(counts) == 0 {
			continue
		}
		list = append(list, channelFigures{
			spec: spec, covers: 100 * float64(counts.Seconds()) / recorded,
			mean: metrics.Stretch{End: float64(in.Trace.N)}.Mean(col),
			low:  counts[0].Value, high: counts[len(counts)-1].Value, repairs: in.Repairs.Channel[spec.Name],
		})
	}
	return list
}

// channels shows what was measured and for how much of the recording. The
// distance covered stands in the title.
func (v inspectionView) channels() *grid {
	g := &grid{columns: []column{
		{head: "channel"}, {head: "covers", right: true}, {head: "mean", right: true}, {head: "low", right: true, spare: 2},
		{head: "high", right: true, spare: 1}, {head: "unit"}, {head: "taken away as not real", spare: 3},
	}}
	for _, c := range channelsOf(v.in) {
		if c.spec.Name == "distance" {
			continue
		}
		unit, write := v.scale(c.spec.Name, c.spec.Unit)
		g.add(v.outputName(c.spec.Name), fmt.Sprintf("%.0f %%", c.covers), write(c.mean), write(c.low), write(c.high), unit, removed(c.repairs))
	}
	return g
}

// removed counts what cleaning took from a channel.
func removed(r metrics.ChannelRepairs) string {
	var parts []string
	for _, p := range []struct {
		n    int
		what string
	}{{r.Impossible, "impossible"}, {r.Spike, "spiking"}, {r.Frozen, "frozen"}} {
		if p.n > 0 {
			parts = append(parts, fmt.Sprintf("%d %s", p.n, p.what))
		}
	}
	return strings.Join(parts, ", ")
}

// scale is what a channel is shown in, and how a figure of it is written.
func (v inspectionView) scale(channel, unit string) (string, func(float64) string) {
	linear := func(u units.Unit) (string, func(float64) string) { return u.Name, u.Number }
	switch channel {
	case "speed":
		if v.onFoot() {
			return v.units.PaceName(), v.pace
		}
		return linear(v.units.Speed())
	case "altitude":
		return linear(v.units.Height())
	case "heart_rate", "power", "cadence", "temperature":
		return v.screen.signs.unit(unit), func(x float64) string { return fmt.Sprintf("%.0f", x) }
	}
	return v.screen.signs.unit(unit), func(x float64) string { return fmt.Sprintf("%.1f", x) }
}

// outputName is what people call a channel or signal.
func (v inspectionView) outputName(name string) string {
	if name == "speed" && v.onFoot() {
		return paceHead
	}
	return words(name)
}

// pace writes a speed as a pace, and standing as a word.
func (v inspectionView) pace(speed float64) string {
	if text := v.units.Pace(speed); text != "" || math.IsNaN(speed) {
		return text
	}
	return "still"
}

// onFoot tells whether people would speak of pace: by the sport's name, or
// where the device names none by what bouts were looked for in.
func (v inspectionView) onFoot() bool {
	s := v.in.Measurement.Session
	return units.OnFoot(s.Sport) || s.OutputSignal == "speed" || s.OutputSignal == "oxygen_cost"
}

// drawings are the trace of the output, and below it that of the heart rate.
func (v inspectionView) drawings() []string {
	s := v.in.Measurement.Session
	unit, write := v.scale(s.OutputSignal, signalUnits[s.OutputSignal])
	if s.OutputSignal == "oxygen_cost" {
		write = func(x float64) string { return fmt.Sprintf("%.0f", x) }
	}
	p := plotOn(v.screen, v.in.Trace.N)
	lines := p.trace(v.outputName(s.OutputSignal)+", "+unit, v.in.Output, v.in.Measurement.Bouts, write)
	if v.in.Trace.HeartRate != nil && s.OutputSignal != "heart_rate" {
		unit, write := v.scale("heart_rate", signalUnits["heart_rate"])
		if heart := p.trace("heart rate, "+unit, v.in.Trace.HeartRate, nil, write); len(metrics.CountValues(v.in.Trace.HeartRate)) > 0 {
			lines = append(lines, heart...)
		}
	}
	return append(lines, p.timeAxis())
}

var signalUnits = map[string]string{"power": "W", "oxygen_cost": "mL/kg/min", "speed": "m/s", "heart_rate": "bpm"}

// sessionText names the kind of a session.
func sessionText(s tables.Session) string {
	switch s.Kind {
	case "base":
		return "a base session"
	case "base_with_bursts":
		return "a base session with bursts"
	case "intervals":
		return "an interval session"
	case "mixed":
		return "a session with bouts of several kinds"
	}
	return "neither a base session nor one of intervals"
}
