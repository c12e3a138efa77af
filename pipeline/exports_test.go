package pipeline_test

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// point is one second of an invented workout.
type point struct{ heartRate, power, speed float64 }

// rounds is a workout of an easy start and then rounds of three minutes hard
// and three easy.
func rounds(second int) point {
	if second > 300 && (second-300)%360 < 180 {
		return point{150 + float64(second%3), 210 + float64(second%5), 8.5}
	}
	return point{110 + float64(second%3), 95 + float64(second%5), 6}
}

// morning is when the workouts of these tests begin.
var morning = time.Date(2026, 6, 10, 7, 0, 0, 0, time.UTC)

// gpxOf writes n seconds as GPX: heart rate only, on the spot.
func gpxOf(start time.Time, n int, of func(second int) point) []byte {
	var b strings.Builder
	b.WriteString(`<gpx version="1.1" creator="test" xmlns="http://www.topografix.com/GPX/1/1" xmlns:x="http://www.garmin.com/xmlschemas/TrackPointExtension/v1"><trk><type>cycling</type><trkseg>` + "\n")
	for i := range n {
		fmt.Fprintf(&b, `<trkpt lat="52.1" lon="4.2"><time>%s</time><extensions><x:TrackPointExtension><x:hr>%.0f</x:hr></x:TrackPointExtension></extensions></trkpt>`+"\n",
			start.Add(time.Duration(i)*time.Second).Format(time.RFC3339), of(i).heartRate)
	}
	b.WriteString("</trkseg></trk></gpx>\n")
	return []byte(b.String())
}

// tcxOf writes n seconds as TCX: heart rate, power and speed.
func tcxOf(start time.Time, n int, of func(second int) point) []byte {
	var b strings.Builder
	b.WriteString(`<TrainingCenterDatabase xmlns="http://www.garmin.com/xmlschemas/TrainingCenterDatabase/v2" xmlns:e="http://www.garmin.com/xmlschemas/ActivityExtension/v2"><Activities><Activity Sport="Biking">`)
	fmt.Fprintf(&b, "<Id>%[1]s</Id><Lap StartTime=%[1]q><TotalTimeSeconds>%[2]d</TotalTimeSeconds><Track>\n", start.Format(time.RFC3339), n)
	for i := range n {
		p := of(i)
		fmt.Fprintf(&b, `<Trackpoint><Time>%s</Time><HeartRateBpm><Value>%.0f</Value></HeartRateBpm><Extensions><e:TPX><e:Speed>%.2f</e:Speed><e:Watts>%.0f</e:Watts></e:TPX></Extensions></Trackpoint>`+"\n",
			start.Add(time.Duration(i)*time.Second).Format(time.RFC3339), p.heartRate, p.speed, p.power)
	}
	b.WriteString("</Track></Lap></Activity></Activities></TrainingCenterDatabase>\n")
	return []byte(b.String())
}

// gzipOf compresses data.
func gzipOf(t *testing.T, data []byte) []byte {
	t.Helper()
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	if _, err := z.Write(data); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// zipOf packs names and their bytes, in pairs.
func zipOf(t *testing.T, pairs ...any) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i := 0; i < len(pairs); i += 2 {
		w, err := z.Create(pairs[i].(string))
		if err == nil {
			_, err = w.Write(pairs[i+1].([]byte))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func must(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// put writes files into a practice: paths and contents, in pairs.
func put(t *testing.T, dir string, pairs ...any) {
	t.Helper()
	for i := 0; i < len(pairs); i += 2 {
		path := filepath.Join(dir, filepath.FromSlash(pairs[i].(string)))
		data, isText := pairs[i+1].([]byte)
		if !isText {
			data = []byte(pairs[i+1].(string))
		}
		if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
}

// tinyPractice has two clients and everything that a run can meet: an export
// in two formats, a copy, an archive, one that is refused, bands, samples.
func tinyPractice(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	wednesday := tcxOf(morning, 1100, rounds)
	put(t, dir,
		"practice.toml", "time_zone = \"Europe/Lisbon\"\nwrite_samples = true\n",
		"clients.csv", "client_id,name,birth_year,sex,hr_limiting_medication\nc1,A. Example,1960,female,no\n",
		"inbox/c1/wednesday.tcx", wednesday,
		"inbox/c1/copies/wednesday.tcx", wednesday,
		"inbox/c1/thursday.gpx.gz", gzipOf(t, gpxOf(morning.AddDate(0, 0, 1), 900, rounds)),
		"inbox/c1/notes.txt", "slept badly",
		"inbox/c2/all.zip", zipOf(t, "friday.gpx", gpxOf(morning.AddDate(0, 0, 2), 700, rounds), "broken.tcx", []byte("<TrainingCenterDatabase><Act")),
	)
	return dir
}

// changeTiny is what a later night finds: a better copy of thursday that began
// a minute earlier, a file that moved, other bands, no more samples.
func changeTiny(t *testing.T, dir string) {
	t.Helper()
	inbox := filepath.Join(dir, "inbox", "c1")
	put(t, dir,
		"practice.toml", "time_zone = \"Europe/Lisbon\"\n",
		"bands.csv", "client_id,effective_from,signal,band,lower,unit\n*,2026-01-01,heart_rate,easy,0,bpm\n*,2026-01-01,heart_rate,hard,130,bpm\n",
		"inbox/c1/thursday.tcx", tcxOf(morning.AddDate(0, 0, 1).Add(-time.Minute), 1000, rounds),
	)
	rename(t, filepath.Join(inbox, "copies"), filepath.Join(inbox, "again"))
}

// copyPractice copies a practice, store, output and file times included.
func copyPractice(t *testing.T, from string) string {
	t.Helper()
	to := filepath.Join(t.TempDir(), "practice")
	if err := os.CopyFS(to, os.DirFS(from)); err != nil {
		t.Fatal(err)
	}
	err := filepath.WalkDir(from, func(path string, d os.DirEntry, err error) error {
		if err != nil {
			return err
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		rel, _ := filepath.Rel(from, path)
		into := filepath.Join(to, rel)
		if d.Type().IsRegular() {
			if err := os.Chmod(into, info.Mode().Perm()); err != nil {
				return err
			}
		}
		return os.Chtimes(into, info.ModTime(), info.ModTime())
	})
	if err != nil {
		t.Fatal(err)
	}
	return to
}
