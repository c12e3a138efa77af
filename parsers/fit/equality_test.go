package fit

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/muktihari/fit/decoder"
	"github.com/muktihari/fit/profile/mesgdef"
	"github.com/muktihari/fit/profile/typedef"
	"github.com/muktihari/fit/profile/untyped/mesgnum"

	"boutwise/parsers/internal/parsertest"
	"boutwise/parsers/recording"
	"boutwise/testdata/checks"
)

// typedRecords decodes an export with muktihari/fit's own typed decoder, which
// shares nothing with tormoder/fit, and gives the records of its activities
// that have a time. ok is false when that library cannot read the export.
func typedRecords(data []byte) (records []*mesgdef.Record, ok bool) {
	dec := decoder.New(bytes.NewReader(data), decoder.WithIgnoreChecksum())
	for dec.Next() {
		fit, err := dec.Decode()
		if err != nil {
			return nil, false
		}
		isActivity := false
		for i := range fit.Messages {
			switch m := &fit.Messages[i]; m.Num {
			case mesgnum.FileId:
				isActivity = mesgdef.NewFileId(m).Type == typedef.FileActivity
			case mesgnum.Record:
				if r := mesgdef.NewRecord(m); isActivity && !r.Timestamp.IsZero() {
					records = append(records, r)
				}
			}
		}
	}
	return records, len(records) > 0
}

// channel is one column, as read here and by the typed decoder.
type channel struct {
	name   string
	ours   func(*recording.Samples) []float64
	theirs func(*mesgdef.Record) float64

	// derived columns are filled in from others where the device wrote none.
	derived bool
}

var channelPairs = []channel{
	{"heart_rate", func(s *recording.Samples) []float64 { return s.HeartRate },
		func(r *mesgdef.Record) float64 { return orNaN(r.HeartRate, 0xFF) }, false},
	{"power", func(s *recording.Samples) []float64 { return s.Power },
		func(r *mesgdef.Record) float64 { return orNaN(r.Power, 0xFFFF) }, false},
	{"speed", func(s *recording.Samples) []float64 { return s.Speed },
		typedSpeed, true},
	{"distance", func(s *recording.Samples) []float64 { return s.Distance },
		func(r *mesgdef.Record) float64 { return r.DistanceScaled() }, true},
	{"altitude", func(s *recording.Samples) []float64 { return s.Altitude },
		func(r *mesgdef.Record) float64 { return r.EnhancedAltitudeScaled() }, false},
	{"grade", func(s *recording.Samples) []float64 { return s.Grade },
		func(r *mesgdef.Record) float64 { return r.GradeScaled() }, false},
	{"temperature", func(s *recording.Samples) []float64 { return s.Temperature },
		func(r *mesgdef.Record) float64 { return orNaN(r.Temperature, 0x7F) }, false},
	{"cadence", func(s *recording.Samples) []float64 { return s.Cadence }, typedCadence, false},
	{"latitude", func(s *recording.Samples) []float64 {
		if s.Position == nil {
			return nil
		}
		return s.Position.Latitude
	}, func(r *mesgdef.Record) float64 { return r.PositionLatDegrees() }, false},
	{"longitude", func(s *recording.Samples) []float64 {
		if s.Position == nil {
			return nil
		}
		return s.Position.Longitude
	}, func(r *mesgdef.Record) float64 { return r.PositionLongDegrees() }, false},
}

func orNaN[T uint8 | int8 | uint16](v, sentinel T) float64 {
	if v == sentinel {
		return math.NaN()
	}
	return float64(v)
}

// typedSpeed takes the field that the device wrote: the typed decoder widens
// the narrow one by way of a float and loses up to a millimetre a second.
func typedSpeed(r *mesgdef.Record) float64 {
	if r.Speed != 0xFFFF {
		return r.SpeedScaled()
	}
	return r.EnhancedSpeedScaled()
}

// compressedLoss is what the typed decoder loses on compressed speeds and
// distances, which it expands by cutting off what the plain fields cannot hold.
func compressedLoss(path, channel string) float64 {
	if path != "testdata/python-fitparse/compressed-speed-distance.fit" {
		return 0
	}
	return map[string]float64{"speed": 0.001, "distance": 0.01}[channel]
}

func typedCadence(r *mesgdef.Record) float64 {
	if r.Cadence == 0xFF {
		return r.Cadence256Scaled()
	}
	if f := r.FractionalCadenceScaled(); !math.IsNaN(f) {
		return float64(r.Cadence) + f
	}
	return float64(r.Cadence)
}

// beyondTyped names the channels that are read from elsewhere than the record
// message's own field, which the typed decoder leaves to its user: developer
// fields and heartbeats in messages of their own.
var beyondTyped = map[string][]string{
	"testdata/misc/mornindew-broken.fit":                       {"power", "cadence"},
	"testdata/chained_Activity_activity_poolswim.fit":          {"heart_rate"},
	"testdata/from_official_sdk/Activity.fit":                  {"heart_rate"},
	"testdata/from_official_sdk/ActivityDevFields.fit":         {"heart_rate"},
	"testdata/from_official_sdk/activity_developerdata.fit":    {"heart_rate"},
	"testdata/from_official_sdk/HrmPluginTestActivity.fit":     {"heart_rate"},
	"testdata/from_official_sdk/activity_poolswim_with_hr.fit": {"heart_rate"},
}

// TestEqualsTypedDecoder holds every sample of every real activity equal to
// what a second library decodes. Reference: muktihari/fit v0.26.1.
func TestEqualsTypedDecoder(t *testing.T) {
	files, samples, equal := 0, 0, 0
	for _, module := range []string{parsertest.Tormoder, parsertest.Muktihari} {
		for _, path := range parsertest.Files(t, module, "testdata", ".fit") {
			data := parsertest.Read(t, module, path)
			want, ok := typedRecords(data)
			if !ok {
				continue
			}
			recs, err := Parse(data, recording.Limits{})
			if err != nil {
				t.Errorf("%s: the typed decoder reads it, we do not: %v", path, err)
				continue
			}
			files++
			samples += len(want)
			if t.Run(path, func(t *testing.T) { compare(t, path, recs, want) }) {
				equal += len(want)
			}
		}
	}
	checks.Near(t, checks.Check{
		ID: "fit-typed-decoder", What: fmt.Sprintf("samples of %d real activities, equal in every channel", files),
		Source: "muktihari/fit 0.26.1, typed decoder", Class: checks.ReferenceLibrary, Want: float64(samples),
	}, float64(equal))
	// Both modules' folders hold at least these; fewer means that the test
	// looked at nothing.
	if files < 31 || samples < 195_000 {
		t.Errorf("compared %d files with %d samples only", files, samples)
	}
	t.Logf("compared %d files, %d samples", files, samples)
}

// compare holds one export's legs, in their order, against the records.
func compare(t *testing.T, path string, recs []*recording.Recording, want []*mesgdef.Record) {
	at := 0
	for _, rec := range recs {
		n := rec.Samples.Len()
		if at+n > len(want) {
			t.Fatalf("more samples than the %d records", len(want))
		}
		for i, ms := range rec.Samples.TimeMS {
			if wantMS := want[at+i].Timestamp.UnixMilli(); ms != wantMS {
				t.Fatalf("sample %d: time %d, want %d", at+i, ms, wantMS)
			}
		}
		for _, c := range channelPairs {
			if !slices.Contains(beyondTyped[path], c.name) {
				compareColumn(t, c, &rec.Samples, want[at:at+n], 1e-9+compressedLoss(path, c.name))
			}
		}
		at += n
	}
	if at != len(want) {
		t.Errorf("%d samples, want %d", at, len(want))
	}
}

func compareColumn(t *testing.T, c channel, s *recording.Samples, want []*mesgdef.Record, tolerance float64) {
	got := c.ours(s)
	missing := 0
	for i, r := range want {
		v := c.theirs(r)
		if math.IsNaN(v) {
			missing++
		}
		if got == nil || c.derived && missing == i+1 {
			continue
		}
		if math.IsNaN(v) != math.IsNaN(got[i]) || math.Abs(got[i]-v) > tolerance {
			t.Fatalf("%s, sample %d: %v, want %v", c.name, i, got[i], v)
		}
	}
	if got == nil && missing < len(want) {
		t.Errorf("%s: no column, but %d values in the file", c.name, len(want)-missing)
	}
}
