package gpx

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"golang.org/x/text/encoding/unicode"

	"boutwise/parsers/internal/parsertest"
	"boutwise/parsers/recording"
)

var nan = math.NaN()

func read(t testing.TB, name string) []byte {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	return data
}

func parse(t *testing.T, data []byte) []*recording.Recording {
	t.Helper()
	recs, err := Parse(data, recording.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	return recs
}

// start is 2025-03-01T08:00:00Z, when the invented tracks begin.
var start = time.Date(2025, 3, 1, 8, 0, 0, 0, time.UTC).UnixMilli()

func TestExtensions(t *testing.T) {
	rec := parse(t, read(t, "gpx-ns3-prefix.gpx"))[0]
	parsertest.Same(t, "sport", rec.Sport, recording.Running)
	parsertest.Same(t, "device", rec.Device.Name, "invented watch")
	parsertest.Same(t, "time", rec.Samples.TimeMS, []int64{start, start + 4000})
	parsertest.Same(t, "heart rate", rec.Samples.HeartRate, []float64{101, 103})
	parsertest.Same(t, "cadence", rec.Samples.Cadence, []float64{81, 82})
	parsertest.Same(t, "temperature", rec.Samples.Temperature, []float64{11.5, nan})
	parsertest.Same(t, "altitude", rec.Samples.Altitude, []float64{400.5, 401.5})
	parsertest.Same(t, "salvage", len(rec.Salvage), 0)
	// 1e-4 degrees of latitude are 11.119508 m on the sphere (GeographicLib's
	// haversine, R 6371.0088 km), here in 4 s.
	if v := rec.Samples.Speed[0]; math.Abs(v-11.119508/4) > 1e-6 {
		t.Errorf("speed %v", v)
	}
	if rec.Samples.Power != nil {
		t.Errorf("power %v", rec.Samples.Power)
	}

	rec = parse(t, read(t, "gpx-flat-power.gpx"))[0]
	parsertest.Same(t, "sport", rec.Sport, recording.Cycling)
	parsertest.Same(t, "indoor", rec.Indoor, true)
	parsertest.Same(t, "power", rec.Samples.Power, []float64{180, nan})
	parsertest.Same(t, "speed as written", rec.Samples.Speed, []float64{7.5, 7.6})
	parsertest.Same(t, "heart rate", rec.Samples.HeartRate, []float64{120, 121})
}

func TestVersion10(t *testing.T) {
	rec := parse(t, read(t, "gpx-1.0-speed.gpx"))[0]
	parsertest.Same(t, "speed as written", rec.Samples.Speed, []float64{1.25, 1.5})
	parsertest.Same(t, "altitude", rec.Samples.Altitude, []float64{10, 11})
}

func TestSegmentsAndTracks(t *testing.T) {
	recs := parse(t, read(t, "gpx-two-segments.gpx"))
	parsertest.Same(t, "tracks", len(recs), 2)
	run := recs[0]
	parsertest.Same(t, "sports", []recording.Sport{run.Sport, recs[1].Sport}, []recording.Sport{recording.Running, recording.Walking})
	parsertest.Same(t, "legs", []int{run.Leg, recs[1].Leg}, []int{0, 1})
	parsertest.Same(t, "pauses", run.Pauses, []recording.Pause{{StartMS: start + 9000, EndMS: start + 70_000}})
	parsertest.Same(t, "samples", run.Samples.Len(), 20)
	// 1e-5 degrees a second; the kilometre to the second segment is neither
	// speed nor distance.
	step := 1.1119508
	for i, v := range run.Samples.Speed {
		if math.Abs(v-step) > 1e-5 {
			t.Errorf("speed %v at %d, want %v", v, i, step)
		}
	}
	if d := run.Samples.Distance[19]; math.Abs(d-18*step) > 1e-4 {
		t.Errorf("distance %v, want %v", d, 18*step)
	}
}

func TestTimes(t *testing.T) {
	rec := parse(t, read(t, "gpx-offset-and-fraction.gpx"))[0]
	parsertest.Same(t, "time", rec.Samples.TimeMS, []int64{start + 250, start + 1750})
	if rec.UTCOffset == nil || *rec.UTCOffset != 2*time.Hour {
		t.Errorf("offset %v, want 2 h", rec.UTCOffset)
	}
	if v := rec.Samples.Speed[1]; math.Abs(v-11.119508/1.5) > 1e-6 {
		t.Errorf("speed %v", v)
	}
}

func TestBadNumbers(t *testing.T) {
	rec := parse(t, read(t, "gpx-bad-numbers.gpx"))[0]
	parsertest.Same(t, "samples", rec.Samples.Len(), 4)
	parsertest.Same(t, "latitude", rec.Samples.Position.Latitude, []float64{47, nan, nan, nan})
	parsertest.Same(t, "altitude", rec.Samples.Altitude, []float64{nan, 12.5, 13, nan})
	if rec.Samples.HeartRate != nil {
		t.Errorf("heart rate %v", rec.Samples.HeartRate)
	}
	parsertest.Same(t, "salvage", rec.Salvage, []string{
		"2 values could not be read as numbers", // "Inf" and "forty"
		"2 track points without a time were left out",
	})
}

// TestDecimalCommas: numbers as some programs write them where the comma is
// the custom.
func TestDecimalCommas(t *testing.T) {
	rec := parse(t, read(t, "gpx-decimal-commas.gpx"))[0]
	s := &rec.Samples
	parsertest.Same(t, "position", s.Position, &recording.Position{
		Latitude: []float64{-47.5, -47.5001, -47.5002}, Longitude: []float64{8.25, 8.25, 8.25},
	})
	parsertest.Same(t, "altitude", s.Altitude, []float64{400.5, nan, 401})
	parsertest.Same(t, "temperature", s.Temperature, []float64{11.5, 12, nan})
	parsertest.Same(t, "salvage", rec.Salvage, []string{"2 values could not be read as numbers"}) // "1.400,5" and "--"
}

// TestCharacters bends a sound document by one byte: nothing else is lost.
func TestCharacters(t *testing.T) {
	data := read(t, "gpx-ns3-prefix.gpx")
	want := parse(t, data)[0]
	for name, bent := range map[string][]byte{
		"Latin-1 in a name":           bytes.Replace(data, []byte("<trk>"), []byte("<trk><name>M\xfcnchen</name>"), 1),
		"a control character":         bytes.Replace(data, []byte("<trk>"), []byte("<trk><name>x\x0b</name>"), 1),
		"one between points":          bytes.Replace(data, []byte("</trkpt>"), []byte("</trkpt>\x00"), 1),
		"a reference to one":          bytes.Replace(data, []byte("<trk>"), []byte("<trk><name>&#x1;</name>"), 1),
		"UTF-8 that no one completed": bytes.Replace(data, []byte("<trk>"), []byte("<trk><name>\xe2\x82</name>"), 1),
	} {
		if bytes.Equal(bent, data) {
			t.Fatalf("%s: nothing was bent", name)
		}
		rec := parse(t, bent)[0]
		parsertest.Same(t, name+": samples", rec.Samples, want.Samples)
		parsertest.Same(t, name+": salvage", rec.Salvage, []string{"some characters were not valid and were replaced"})
		parsertest.Same(t, name+": damaged", rec.Damaged, false)
	}
	// Two halves of a number are none.
	rec := parse(t, bytes.Replace(data, []byte(">101<"), []byte(">10\x011<"), 1))[0]
	parsertest.Same(t, "heart rate", rec.Samples.HeartRate, []float64{nan, 103})
}

// TestTracksOfOneOuting: a writer made a track of each lap.
func TestTracksOfOneOuting(t *testing.T) {
	recs := parse(t, read(t, "gpx-track-per-lap.gpx"))
	parsertest.Same(t, "recordings", len(recs), 2)
	ride, walk := recs[0], recs[1]
	parsertest.Same(t, "sports", []recording.Sport{ride.Sport, walk.Sport}, []recording.Sport{recording.Cycling, recording.Walking})
	parsertest.Same(t, "legs", []int{ride.Leg, walk.Leg}, []int{0, 1})
	parsertest.Same(t, "times", ride.Samples.TimeMS, []int64{start, start + 1000, start + 2000, start + 602_000, start + 603_000})
	parsertest.Same(t, "heart rate", ride.Samples.HeartRate, []float64{nan, nan, nan, 120, 121})
	parsertest.Same(t, "pauses", ride.Pauses, []recording.Pause{
		{StartMS: start + 1000, EndMS: start + 2000}, {StartMS: start + 2000, EndMS: start + 602_000},
	})
	// The kilometres between the tracks were not recorded.
	step := 1.1119508
	if d := ride.Samples.Distance; len(d) != 5 || math.Abs(d[2]-step) > 1e-4 || math.Abs(d[4]-2*step) > 1e-4 {
		t.Errorf("distance %v", d)
	}
}

func TestCharsets(t *testing.T) {
	rec := parse(t, read(t, "gpx-latin1.gpx"))[0]
	parsertest.Same(t, "device", rec.Device.Name, "Gerät")
	utf16, err := unicode.UTF16(unicode.BigEndian, unicode.UseBOM).NewEncoder().Bytes(
		bytes.Replace(read(t, "gpx-ns3-prefix.gpx"), []byte("UTF-8"), []byte("UTF-16"), 1))
	if err != nil {
		t.Fatal(err)
	}
	parsertest.Same(t, "heart rate in UTF-16", parse(t, utf16)[0].Samples.HeartRate, []float64{101, 103})
}

// TestEntities: entities that the document declares stay unexpanded.
func TestEntities(t *testing.T) {
	rec := parse(t, read(t, "gpx-entity-bomb.gpx"))[0]
	parsertest.Same(t, "device", rec.Device.Name, "&c;&x;")
	parsertest.Same(t, "sport", rec.Sport, recording.Running)
}

// TestCut cuts a track at every byte: points before the cut are read as ever.
func TestCut(t *testing.T) {
	data := read(t, "gpx-two-segments.gpx")
	whole := parse(t, data)
	most := 0
	for at := range len(data) - len("</gpx>\n") {
		recs, err := Parse(data[:at], recording.Limits{})
		if err != nil {
			if most > 0 || !errors.Is(err, recording.ErrDamaged) {
				t.Fatalf("cut at %d: %v", at, err)
			}
			continue
		}
		s := &recs[0].Samples
		if len(recs[0].Salvage) != 1 || !strings.Contains(recs[0].Salvage[0], "ends early") {
			t.Fatalf("cut at %d: salvage %q", at, recs[0].Salvage)
		}
		parsertest.Same(t, fmt.Sprint("times, cut at ", at), s.TimeMS, whole[0].Samples.TimeMS[:s.Len()])
		most = max(most, s.Len())
	}
	parsertest.Same(t, "samples of the first track in the end", most, 20)
}

// TestDamageInside spoils a track at every byte: what is read was there, and at
// most the point that was hit and the next one are lost.
func TestDamageInside(t *testing.T) {
	data := read(t, "gpx-two-segments.gpx")
	want := map[int64]bool{}
	for _, ms := range parse(t, data)[0].Samples.TimeMS {
		want[ms] = true
	}
	from, to := bytes.Index(data, []byte("<trkpt")), bytes.Index(data, []byte("</trkseg>"))
	for at := from; at < to; at++ {
		bent := bytes.Clone(data)
		bent[at] = '<'
		if bytes.Equal(bent, data) {
			continue
		}
		kept := 0
		for _, ms := range parse(t, bent)[0].Samples.TimeMS {
			if !want[ms] {
				t.Errorf("spoilt at %d: a sample at %d", at, ms)
			}
			kept++
		}
		if kept < len(want)-2 {
			t.Errorf("spoilt at %d: %d of %d samples", at, kept, len(want))
		}
	}
	// What broke off is neither a sample nor a value.
	rec := parse(t, bytes.Replace(data, []byte("08:00:04Z"), []byte("08:00:04"), 1))[0]
	parsertest.Same(t, "samples", rec.Samples.Len(), 20)
	rec = parse(t, bytes.Replace(data, []byte("08:00:04Z</time>"), []byte("08:00:04</tim>"), 1))[0]
	parsertest.Same(t, "samples", rec.Samples.Len(), 19)
	parsertest.Same(t, "salvage", rec.Salvage, []string{"XML damaged at line 7 (</tim> closes no open element): went on behind it"})
	parsertest.Same(t, "damaged", rec.Damaged, true)
}

func TestRefused(t *testing.T) {
	deep := "<gpx><trk><trkseg><trkpt><extensions>" + strings.Repeat("<a>", 100)
	long := `<gpx><trk><trkseg><trkpt lat="1" lon="1"><time>2025-03-01T08:00:00Z</time></trkpt></trkseg></trk><x y="` + strings.Repeat("y", 11<<20)
	for _, c := range []struct {
		name, data string
		lim        recording.Limits
		reason     error
	}{
		{"waypoints only", "<gpx><wpt lat='1' lon='1'/></gpx>", recording.Limits{}, recording.ErrNoActivity},
		{"no points", "<gpx><trk/></gpx>", recording.Limits{}, recording.ErrNoSamples},
		{"no times", "<gpx><trk><trkseg><trkpt lat='1' lon='1'/></trkseg></trk></gpx>", recording.Limits{}, recording.ErrNoSamples},
		{"empty", "", recording.Limits{}, recording.ErrDamaged},
		{"cut at once", "<gpx><trk", recording.Limits{}, recording.ErrDamaged},
		{"deep", deep, recording.Limits{}, recording.ErrTooLarge},
		{"many points", "<gpx><trk><trkseg><trkpt/><trkpt/>", recording.Limits{MaxSamples: 1}, recording.ErrTooLarge},
		{"many tracks", "<gpx><trk/><trk/>", recording.Limits{MaxMarks: 1}, recording.ErrTooLarge},
	} {
		if _, err := Parse([]byte(c.data), c.lim); !errors.Is(err, c.reason) {
			t.Errorf("%s: %v, want %v", c.name, err, c.reason)
		}
	}
	// 10 MB of one line behind the track end the reading there, not the track.
	recs, err := Parse([]byte(long), recording.Limits{})
	if err != nil || !strings.Contains(strings.Join(recs[0].Salvage, ""), "longer than 1 MiB") {
		t.Errorf("a line of 10 MB: %v", err)
	}
}

func TestSport(t *testing.T) {
	for text, want := range map[string]recording.Sport{
		"": recording.Other, "9": recording.Running, " 1 ": recording.Cycling, "99": recording.Other,
		"trail_running": recording.Running, "VirtualRide": recording.Cycling, "Hiking": recording.Walking,
		"ROWING": recording.Rowing, "open water swimming": recording.Swimming, "brunch": recording.Other,
	} {
		if got, _ := sport(text); got != want {
			t.Errorf("%q: %s, want %s", text, got, want)
		}
	}
}
