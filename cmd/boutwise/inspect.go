package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"strings"
	"text/tabwriter"
	"time"

	"boutwise/metrics"
	"boutwise/pipeline"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/tables"
)

type inspectCommand struct {
	Files []string `arg:"" name:"file" type:"path" help:"Exports: FIT, GPX or TCX, plain, gzipped or zipped."`
	JSON  bool     `help:"Print one JSON object a recording, for machines."`
}

func (i *inspectCommand) Help() string {
	return "Example: boutwise inspect morning.fit\n\nKnows nothing of the client, so no figure that needs a measurement is shown.\n\n" + exitHelp
}

func (i *inspectCommand) Run(c *console) error {
	var failed []error
	for _, path := range i.Files {
		inspections, errs := pipeline.Inspect(path, practice.DefaultSettings())
		failed = append(failed, errs...)
		for _, in := range inspections {
			if i.JSON {
				if err := json.NewEncoder(c.out).Encode(map[string]any{
					"path": in.Path, "leg": in.Leg, "status": in.Status, "reason": in.Reason,
					"session": in.Measurement.Session, "bouts": in.Measurement.Bouts,
				}); err != nil {
					return err
				}
				continue
			}
			printInspection(c.out, in)
		}
	}
	return errors.Join(failed...)
}

func printInspection(w io.Writer, in pipeline.Inspection) {
	s := in.Measurement.Session
	place := in.Path
	if in.Leg > 0 {
		place += fmt.Sprintf(", leg %d", in.Leg+1)
	}
	fmt.Fprintf(w, "\n%s\n", filepath.Base(place))
	device := in.Device
	if device == "" {
		device = "unnamed device"
	}
	fmt.Fprintf(w, "  %s on %s at %s, %s, from %s\n", s.Sport, s.LocalDate, s.StartedUTC.Format("15:04 UTC"), clock(s.DurationS), device)
	if in.Reason != "" {
		fmt.Fprintln(w, wrap("salvaged: "+in.Reason, "  ", lineWidth))
	}
	printChannels(w, in)
	if in.Output != nil {
		unit := signalUnits[s.OutputSignal]
		fmt.Fprintf(w, "\n%s", drawTrace(words(s.OutputSignal)+", "+unit, in.Output, in.Measurement.Bouts))
		if in.Trace.HeartRate != nil && s.OutputSignal != "heart_rate" {
			fmt.Fprintf(w, "%s", drawTrace("heart rate, bpm", in.Trace.HeartRate, nil))
		}
		fmt.Fprint(w, timeAxis(in.Trace.N))
	}
	printBouts(w, s, in.Measurement.Bouts)
}

var signalUnits = map[string]string{"power": "W", "oxygen_cost": "mL/kg/min", "speed": "m/s", "heart_rate": "bpm"}

// printChannels shows what was measured and for how much of the recording.
func printChannels(w io.Writer, in pipeline.Inspection) {
	recorded := in.Trace.RecordedSeconds()
	fmt.Fprintf(w, "  recorded %s", clock(float64(recorded)))
	if in.Repairs.PausedS > 0 {
		fmt.Fprintf(w, ", stopped for %s", clock(float64(in.Repairs.PausedS)))
	}
	if n := in.Repairs.BridgedS; n > 0 {
		fmt.Fprintf(w, ", %d s bridged", n)
	}
	if n := in.Repairs.Backward + in.Repairs.Stray + in.Repairs.Duplicate; n > 0 {
		fmt.Fprintf(w, ", %d samples dropped for their time", n)
	}
	fmt.Fprint(w, "\n\n")
	table := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(table, "  channel\tcovers\tmean\tlow\thigh\tunit\ttaken away")
	for _, spec := range metrics.ChannelSpecs {
		col := *spec.Column(&in.Trace.Channels)
		counts := metrics.CountValues(col)
		if len(counts) == 0 {
			continue
		}
		removed := "-"
		if r := in.Repairs.Channel[spec.Name]; r.Total() > 0 {
			removed = fmt.Sprintf("%d impossible, %d spikes, %d frozen", r.Impossible, r.Spike, r.Frozen)
		}
		mean := metrics.Stretch{End: float64(in.Trace.N)}.Mean(col)
		fmt.Fprintf(table, "  %s\t%.0f %%\t%.1f\t%.1f\t%.1f\t%s\t%s\n", words(spec.Name),
			100*float64(counts.Seconds())/float64(max(1, recorded)), mean, counts[0].Value, counts[len(counts)-1].Value, spec.Unit, removed)
	}
	table.Flush()
}

func printBouts(w io.Writer, s tables.Session, bouts []tables.Bout) {
	if len(bouts) == 0 {
		fmt.Fprintf(w, "\n  No bouts: %s session.\n", article(words(s.Kind)))
		return
	}
	fmt.Fprintf(w, "\n  %d bouts, found by %s: %s session.\n\n", len(bouts), strings.ReplaceAll(bouts[0].Signal, "_", " "), article(words(s.Kind)))
	table := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(table, "bout\tstart\tlength\tmean\tquarters, % of mean\tsteadiness\tpacing\theart rate\trecovery\t")
	for _, b := range bouts {
		boutLine(table, b)
	}
	table.Flush()
	fmt.Fprintf(w, "\n  Steadiness is the variation of 10 s means in percent: less is evener. ± is a 90 %% interval.\n")
}

func boutLine(w io.Writer, b tables.Bout) {
	mean := "-"
	switch b.Signal {
	case "power":
		mean = number("%.0f W", b.MeanPower)
	case "oxygen_cost":
		mean = number("%.1f mL/kg/min", b.MeanOxygenCost)
	case "speed":
		mean = number("%.2f m/s", b.MeanSpeed)
	}
	pacing := words(b.Pacing)
	if pacing == "" {
		pacing = "-"
	}
	if b.Confidence == "possible" {
		pacing += " (possibly a bout?)"
	}
	quarters := []string{number("%.0f", b.Quarter1), number("%.0f", b.Quarter2), number("%.0f", b.Quarter3), number("%.0f", b.Quarter4)}
	recovery := number("%.0f s", b.Recovery)
	if b.RecoveryKind != "" {
		recovery += " " + b.RecoveryKind
	}
	fmt.Fprintf(w, "%d\t%s ± %.0f s\t%s\t%s\t%s\t%s\t%s\t%s to %s\t%s\t\n", b.Bout, clock(b.StartS), b.StartUncertainty,
		clock(b.DurationS), mean, strings.Join(quarters, " "), number("%.1f %%", b.SteadinessCV), pacing,
		number("%.0f", b.MeanHR), number("%.0f", b.PeakHR), recovery)
}

// number formats a figure that may be missing.
func number(format string, x *float64) string {
	if x == nil {
		return "-"
	}
	return fmt.Sprintf(format, *x)
}

// clock writes seconds as h:mm:ss or m:ss.
func clock(seconds float64) string {
	d := time.Duration(seconds+0.5) * time.Second
	if d >= time.Hour {
		return fmt.Sprintf("%d:%02d:%02d", int(d.Hours()), int(d.Minutes())%60, int(d.Seconds())%60)
	}
	return fmt.Sprintf("%d:%02d", int(d.Minutes()), int(d.Seconds())%60)
}

func article(noun string) string {
	if strings.ContainsAny(noun[:min(1, len(noun))], "aeiou") {
		return "an " + noun
	}
	return "a " + noun
}
