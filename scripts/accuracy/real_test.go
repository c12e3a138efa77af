package main

import (
	"math"
	"os"
	"path/filepath"
	"testing"

	"boutwise/metrics"
	"boutwise/metrics/bouts"
	"boutwise/parsers"
	"boutwise/testdata/realfiles"
)

// moduleFile reads a device file that ships with a library's own tests.
func moduleFile(t *testing.T, module, path string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(realfiles.Dir(t, module), "testdata", path))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// realTrace reads the longest leg of a device file onto the grid.
func realTrace(t *testing.T, module, path string) metrics.Trace {
	t.Helper()
	legs, err := parsers.Parse(moduleFile(t, module, path), parsers.DefaultLimits())
	if err != nil {
		t.Fatal(err)
	}
	var best metrics.Trace
	for _, leg := range legs {
		s := leg.Samples
		tr, _ := metrics.BuildTrace(metrics.Columns{TimeMS: s.TimeMS, Channels: metrics.Channels{
			HeartRate: s.HeartRate, Power: s.Power, Speed: s.Speed, Distance: s.Distance,
			Altitude: s.Altitude, Grade: s.Grade, Cadence: s.Cadence,
		}}, leg.Sport == "running" || leg.Sport == "walking")
		if tr.N > best.N {
			best = tr
		}
	}
	return best
}

// signalOf makes an input of one channel of a trace.
func signalOf(tr metrics.Trace, signal bouts.Signal) bouts.Input {
	in := bouts.Input{
		Signal: signal, Recorded: tr.Recorded, Observed: tr.Observed,
		Altitude: tr.Altitude, HeartRate: tr.HeartRate,
	}
	switch signal {
	case bouts.Power:
		in.Values = tr.Power
	case bouts.Speed:
		in.Values = tr.Speed
	case bouts.OxygenCost:
		grade := metrics.GradeFromAltitude(tr.Distance, tr.Altitude, metrics.GradeWindow)
		in.Values = metrics.OxygenCost(tr.Speed, grade, metrics.Running, metrics.DefaultGaitLimits(metrics.Running))
	case bouts.HeartRate:
		in.Values = tr.HeartRate
	}
	return in
}

const (
	tormoder  = "github.com/tormoder/fit"
	muktihari = "github.com/muktihari/fit"
)

// TestRealBouts compares what is found with the riders' own laps, which the
// finder does not see.
func TestRealBouts(t *testing.T) {
	tests := []struct {
		name, module, path string
		signal             bouts.Signal
		want               [][2]float64 // laps: start and length, s
		within             float64      // s
	}{
		{"indoor trainer", tormoder, "python-fitparse/sample-activity-indoor-trainer.fit", bouts.Power,
			[][2]float64{{377, 601}, {1349, 601}}, 3},
		// The rider is up to pace some 25 s before the first lap is pressed.
		{"outdoor blocks", tormoder, "dcrainmaker/Edge810-Vector-2013-08-16-15-35-10.fit", bouts.Power,
			[][2]float64{{1907, 1202}, {3241, 1202}}, 30},
		// Hill repeats without laps of their own; the times are read off power
		// and heart rate by eye.
		{"hill repeats by power", muktihari, "from_official_sdk/activity_lowbattery.fit", bouts.Power,
			[][2]float64{{1462, 220}, {1843, 220}, {2222, 225}, {2618, 233}}, 30},
		{"hill repeats by heart rate", muktihari, "from_official_sdk/activity_lowbattery.fit", bouts.HeartRate,
			[][2]float64{{1462, 220}, {1843, 220}, {2222, 225}, {2618, 233}}, 40},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			in := signalOf(realTrace(t, tt.module, tt.path), tt.signal)
			found := bouts.Find(in, bouts.DefaultSettings())
			t.Logf("found %+v", found)
			got := confirmedOf(found)
			if len(got) != len(tt.want) {
				t.Fatalf("confirmed %d bouts, want %d", len(got), len(tt.want))
			}
			for i, lap := range tt.want {
				start, end := lap[0], lap[0]+lap[1]
				if math.Abs(got[i].start-start) > tt.within || math.Abs(got[i].end-end) > tt.within {
					t.Errorf("bout %d: [%.1f, %.1f), laps say [%.0f, %.0f)", i+1, got[i].start, got[i].end, start, end)
				}
			}
		})
	}
}

// TestRealUnstructured holds that rides and runs without a set have none.
func TestRealUnstructured(t *testing.T) {
	tests := []struct {
		module, path string
		signal       bouts.Signal
	}{
		{tormoder, "bpg/garmin.fit", bouts.Power},
		{tormoder, "bpg/garmin.fit", bouts.HeartRate},
		{tormoder, "python-fitparse/garmin-edge-500-activitiy.fit", bouts.HeartRate},
		{tormoder, "me/activity-small-fenix2-run.fit", bouts.Speed},
		{tormoder, "me/activity-large-fenxi2-multisport.fit", bouts.Speed},
		{tormoder, "misc/mornindew-broken.fit", bouts.Speed},
		{tormoder, "misc/mornindew-broken.fit", bouts.HeartRate},
		{tormoder, "misc/2013-02-06-12-11-14.fit", bouts.HeartRate},
		{tormoder, "misc/2013-02-06-12-11-14.fit", bouts.Speed},
		{muktihari, "from_official_sdk/WithGearChangeData.fit", bouts.Power},
		{muktihari, "from_official_sdk/WithGearChangeData.fit", bouts.HeartRate},
		{muktihari, "big_activity.fit", bouts.HeartRate},
	}
	for _, tt := range tests {
		t.Run(filepath.Base(tt.path)+" "+string(tt.signal), func(t *testing.T) {
			in := signalOf(realTrace(t, tt.module, tt.path), tt.signal)
			if in.Values == nil {
				t.Skip("channel not in this file")
			}
			found := bouts.Find(in, bouts.DefaultSettings())
			t.Logf("found %+v", found)
			if got := confirmedOf(found); len(got) > 0 {
				t.Errorf("confirmed %d bouts, want none", len(got))
			}
		})
	}
}
