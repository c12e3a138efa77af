package tcx

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"boutwise/parsers/internal/parsertest"
	"boutwise/parsers/recording"
)

var nan = math.NaN()

func parse(t *testing.T, name string) []*recording.Recording {
	t.Helper()
	recs, err := Parse(read(t, name), recording.Limits{})
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return recs
}

func read(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// start is 2025-03-01T08:00:00Z, when the invented activities begin.
var start = time.Date(2025, 3, 1, 8, 0, 0, 0, time.UTC).UnixMilli()

func TestExtensions(t *testing.T) {
	rec := parse(t, "tcx-extensions.tcx")[0]
	s := &rec.Samples
	parsertest.Same(t, "sport", rec.Sport, recording.Cycling)
	parsertest.Same(t, "device", rec.Device, recording.Device{Name: "Invented Computer", Serial: "4711"})
	parsertest.Same(t, "time", s.TimeMS, []int64{start, start + 5000, start + 10_000, start + 30_000})
	parsertest.Same(t, "heart rate", s.HeartRate, []float64{105, 110, 115, 120})
	parsertest.Same(t, "power", s.Power, []float64{200, 210, nan, nan})
	parsertest.Same(t, "speed", s.Speed, []float64{8, 8.5, nan, nan})
	parsertest.Same(t, "distance", s.Distance, []float64{0, 40, 80, 180})
	parsertest.Same(t, "altitude", s.Altitude, []float64{400, 401, nan, nan})
	parsertest.Same(t, "cadence", s.Cadence, []float64{80, 82, nan, nan})
	parsertest.Same(t, "latitude", s.Position.Latitude, []float64{47, nan, nan, nan})
	parsertest.Same(t, "laps", rec.Laps, []recording.Lap{
		{StartMS: start, EndMS: start + 10_000, Intensity: "active", Trigger: "manual", MeanPower: 205, MeanHeartRate: 110},
		{StartMS: start + 10_000, EndMS: start + 30_000, Intensity: "rest", Trigger: "time", MeanPower: 100, MeanHeartRate: 116},
	})
	// Weighted by 10 and 20 s: (110 + 2*116)/3 and (205 + 2*100)/3.
	parsertest.Same(t, "totals", rec.Totals, recording.Totals{
		StartMS: start, ElapsedS: nan, TimerS: 30, DistanceM: 180, MeanHR: 114, MaxHR: 120,
		MeanPower: 135, MaxPower: 215, MeanSpeed: 8, MaxSpeed: 8.5,
	})
	parsertest.Same(t, "salvage", len(rec.Salvage), 0)
}

// TestNamespaces reads the same small run however its names are written.
func TestNamespaces(t *testing.T) {
	for _, name := range []string{"tcx-no-namespace.tcx", "tcx-undeclared-prefix.tcx", "tcx-prefix-everywhere.tcx"} {
		rec := parse(t, name)[0]
		parsertest.Same(t, name+" sport", rec.Sport, recording.Running)
		parsertest.Same(t, name+" heart rate", rec.Samples.HeartRate, []float64{100, 101})
		parsertest.Same(t, name+" speed", rec.Samples.Speed, []float64{3, 3.1})
		parsertest.Same(t, name+" cadence", rec.Samples.Cadence, []float64{85, 86})
	}
	// Another namespace's speed is not ours.
	rec := parse(t, "tcx-foreign-namespace.tcx")[0]
	parsertest.Same(t, "heart rate", rec.Samples.HeartRate, []float64{100, 101})
	if rec.Samples.Speed != nil {
		t.Errorf("speed %v", rec.Samples.Speed)
	}
}

func TestMultisport(t *testing.T) {
	recs := parse(t, "tcx-multisport.tcx")
	parsertest.Same(t, "legs", len(recs), 3)
	for i, want := range []recording.Sport{recording.Cycling, recording.Transition, recording.Running} {
		parsertest.Same(t, "sport", recs[i].Sport, want)
		parsertest.Same(t, "leg", recs[i].Leg, i)
		parsertest.Same(t, "samples", recs[i].Samples.Len(), 2)
		parsertest.Same(t, "laps", len(recs[i].Laps), 1)
	}
	parsertest.Same(t, "heart rate of the transition", recs[1].Samples.HeartRate, []float64{99, nan})
	parsertest.Same(t, "speed from distance", recs[2].Samples.Speed, []float64{3, 3})
}

func TestPause(t *testing.T) {
	rec := parse(t, "tcx-paused-track.tcx")[0]
	parsertest.Same(t, "pauses", rec.Pauses, []recording.Pause{{StartMS: start + 2000, EndMS: start + 40_000}})
	parsertest.Same(t, "speed from distance", rec.Samples.Speed, []float64{3, 3, 4, 4})
	parsertest.Same(t, "lap", rec.Laps[0].EndMS, start+42_000)
	parsertest.Same(t, "salvage", rec.Salvage, []string{"1 track points without a time were left out"})
}

// TestActivitiesOfOneOuting: a writer made an activity of each lap; what was
// done in the evening is another workout.
func TestActivitiesOfOneOuting(t *testing.T) {
	recs := parse(t, "tcx-activity-per-lap.tcx")
	parsertest.Same(t, "recordings", len(recs), 2)
	rec := recs[0]
	parsertest.Same(t, "legs", []int{rec.Leg, recs[1].Leg}, []int{0, 1})
	parsertest.Same(t, "times", rec.Samples.TimeMS, []int64{start, start + 2000, start + 300_000, start + 302_000})
	parsertest.Same(t, "distance", rec.Samples.Distance, []float64{0, 6, 6, 14})
	parsertest.Same(t, "speed", rec.Samples.Speed, []float64{3, 3, 4, 4})
	parsertest.Same(t, "pauses", rec.Pauses, []recording.Pause{{StartMS: start + 2000, EndMS: start + 300_000}})
	parsertest.Same(t, "laps", len(rec.Laps), 2)
}

func TestDecimalCommas(t *testing.T) {
	rec := parse(t, "tcx-decimal-commas.tcx")[0]
	parsertest.Same(t, "altitude", rec.Samples.Altitude, []float64{400.5, nan})
	parsertest.Same(t, "position", rec.Samples.Position, &recording.Position{
		Latitude: []float64{-47.5, nan}, Longitude: []float64{8.25, nan},
	})
	parsertest.Same(t, "heart rate", rec.Samples.HeartRate, []float64{100, nan})
	parsertest.Same(t, "lap", rec.Laps[0].EndMS, start+2500)
	parsertest.Same(t, "salvage", rec.Salvage, []string{"2 values could not be read as numbers"}) // "1.234,5" and "n/a"
}

// TestCharacters bends a sound document by one byte: nothing else is lost.
func TestCharacters(t *testing.T) {
	data := read(t, "tcx-extensions.tcx")
	want := parse(t, "tcx-extensions.tcx")[0]
	for name, from := range map[string][2]string{
		"a control character":           {"<Track>", "<Track>\x01"},
		"Latin-1 where UTF-8 is stated": {"<Track>", "<Notes>M\xfcnchen</Notes><Track>"},
		"a reference":                   {"<Track>", "<Notes>&#27;</Notes><Track>"},
	} {
		bent := strings.Replace(string(data), from[0], from[1], 1)
		if bent == string(data) {
			t.Fatalf("%s: nothing was bent", name)
		}
		recs, err := Parse([]byte(bent), recording.Limits{})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		parsertest.Same(t, name+": samples", recs[0].Samples, want.Samples)
		parsertest.Same(t, name+": salvage", recs[0].Salvage, []string{"some characters were not valid and were replaced"})
	}
}

// TestCut cuts an activity at every byte.
func TestCut(t *testing.T) {
	data := read(t, "tcx-extensions.tcx")
	most := 0
	for at := range len(data) - len("</TrainingCenterDatabase>\n") {
		recs, err := Parse(data[:at], recording.Limits{})
		if err != nil {
			if most > 0 || !errors.Is(err, recording.ErrDamaged) {
				t.Fatalf("cut at %d: %v", at, err)
			}
			continue
		}
		if len(recs[0].Salvage) != 1 || !strings.Contains(recs[0].Salvage[0], "ends early") {
			t.Fatalf("cut at %d: salvage %q", at, recs[0].Salvage)
		}
		if n := recs[0].Samples.Len(); n < most {
			t.Fatalf("cut at %d: %d samples after %d", at, n, most)
		} else {
			most = n
		}
	}
	parsertest.Same(t, "samples in the end", most, 4)
}

// TestDamageInside spoils a lap and a track point: all behind them is read.
func TestDamageInside(t *testing.T) {
	data := string(read(t, "tcx-extensions.tcx"))
	before, after, ok := strings.Cut(data, "<Track>")
	bent := strings.Replace(after, "<Value>110</Value>", "<Value>11</Valu", 1)
	if !ok || bent == after {
		t.Fatal("nothing was bent")
	}
	bent = strings.Replace(before, "<Value>110</Value>", "<Value>11</Valu", 1) + "<Track>" + bent
	recs, err := Parse([]byte(bent), recording.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	s := &recs[0].Samples
	parsertest.Same(t, "time", s.TimeMS, []int64{start, start + 5000, start + 10_000, start + 30_000})
	parsertest.Same(t, "heart rate", s.HeartRate, []float64{105, nan, 115, 120})
	parsertest.Same(t, "laps", len(recs[0].Laps), 2)
	parsertest.Same(t, "mean of the damaged lap", recs[0].Laps[0].MeanHeartRate, nan)
	parsertest.Same(t, "damaged", recs[0].Damaged, true)
	if len(recs[0].Salvage) != 1 || !strings.Contains(recs[0].Salvage[0], "went on behind it") {
		t.Errorf("salvage %q", recs[0].Salvage)
	}
}

func TestRefused(t *testing.T) {
	open := "<TrainingCenterDatabase><Activities><Activity>"
	for _, c := range []struct {
		name, data string
		lim        recording.Limits
		reason     error
	}{
		{"course", string(read(t, "tcx-course-only.tcx")), recording.Limits{}, recording.ErrNoActivity},
		{"empty activity", "<TrainingCenterDatabase><Activities><Activity/></Activities></TrainingCenterDatabase>", recording.Limits{}, recording.ErrNoSamples},
		{"cut at once", open, recording.Limits{}, recording.ErrDamaged},
		{"deep", open + strings.Repeat("<a>", 100), recording.Limits{}, recording.ErrTooLarge},
		{"many points", open + "<Lap><Track><Trackpoint/><Trackpoint/>", recording.Limits{MaxSamples: 1}, recording.ErrTooLarge},
		{"many laps", open + "<Lap/><Lap/>", recording.Limits{MaxMarks: 2}, recording.ErrTooLarge},
	} {
		if _, err := Parse([]byte(c.data), c.lim); !errors.Is(err, c.reason) {
			t.Errorf("%s: %v, want %v", c.name, err, c.reason)
		}
	}
	// What holds no track point is sound, but for us of no use.
	for name, says := range map[string]string{
		"laps only": "the activity holds no track points", "no times": "no track point has a time",
	} {
		data := string(read(t, "tcx-laps-only.tcx"))
		if name == "no times" {
			data = strings.Replace(data, "</Lap>", "<Track><Trackpoint/></Track></Lap>", 1)
		}
		_, err := Parse([]byte(data), recording.Limits{})
		if !errors.Is(err, recording.ErrNoSamples) || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: %v", name, err)
		}
		// While it is still on its way, more may come.
		if _, err := Parse([]byte(data[:len(data)-40]), recording.Limits{}); !errors.Is(err, recording.ErrDamaged) {
			t.Errorf("%s, cut: %v", name, err)
		}
	}
	// The error names the line.
	_, err := Parse([]byte("<TrainingCenterDatabase>\n<Activities>\n<Activity>"+strings.Repeat("<a>", 100)), recording.Limits{})
	var located *recording.ParseError
	if !errors.As(err, &located) || located.Line != 3 || located.Format != recording.TCX {
		t.Errorf("error %v, want line 3", err)
	}
}
