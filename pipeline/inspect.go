package pipeline

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"

	"boutwise/metrics"
	"boutwise/parsers"
	"boutwise/parsers/recording"
	"boutwise/pipeline/practice"
)

// Inspection is one recording of an export, measured by itself.
type Inspection struct {
	Path   string
	Leg    int
	Format recording.Format
	Device string
	Status string // read or salvaged
	Reason string

	Trace       metrics.Trace
	Repairs     metrics.Repairs
	Output      []float64 // the signal that bouts were looked for in; nil for none
	Measurement Measurement
}

// Inspect reads one file and measures every recording in it, knowing nothing
// of the client. Members that cannot be read come as errors beside those that
// can.
func Inspect(path string, set practice.Settings) (inspections []Inspection, failed []error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, []error{err}
	}
	defer file.Close()
	info, err := file.Stat()
	if err != nil {
		return nil, []error{err}
	}
	for m := range parsers.Expand(filepath.Base(path), file, info.Size(), set.Limits) {
		recordings, err := []*recording.Recording(nil), m.Err
		if err == nil {
			recordings, err = parsers.Parse(m.Data, set.Limits)
		}
		if err != nil {
			failed = append(failed, fmt.Errorf("%s: %w", m.Path, err))
			continue
		}
		for _, rec := range recordings {
			inspections = append(inspections, inspectOne(m.Path, rec, set))
		}
	}
	return inspections, failed
}

func inspectOne(path string, rec *recording.Recording, set practice.Settings) Inspection {
	leg, tr := gridded(rec, false)
	in := Inspection{
		Path: path, Leg: rec.Leg, Format: rec.Format, Device: rec.Device.Name, Status: statusRead,
		Trace: tr, Repairs: leg.Repairs,
	}
	if len(rec.Salvage) > 0 {
		in.Status, in.Reason = statusSalvaged, strings.Join(rec.Salvage, "; ")
	}
	s := session{id: sessionID(leg.started()), sources: []source{{leg: &leg}}}
	about := s.about("")
	in.Measurement = Measure(&tr, about, unknownFacts(), set)
	gait := gaitOf(about.Sport, tr.Speed)
	for _, out := range outputs(&tr, gait, gradeOf(&tr, about.Indoor)) {
		if string(out.signal) == in.Measurement.Session.OutputSignal {
			in.Output = out.values
		}
	}
	return in
}

// unknownFacts are the facts of a client of whom nothing is known.
func unknownFacts() practice.Facts {
	nan := math.NaN()
	return practice.Facts{
		Age: nan, BodyMass: nan, RestingHR: nan, MaxHR: nan, ThresholdHR: nan,
		ThresholdPower: nan, CriticalPower: nan, VO2Max: nan,
	}
}
