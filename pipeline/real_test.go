package pipeline_test

import (
	"context"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"boutwise/pipeline"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/tables"
	"boutwise/testdata/realfiles"
)

// realInbox links every file of the modules' test data into an inbox, a
// client a module.
func realInbox(t *testing.T) (dir string, files []string) {
	t.Helper()
	dir = t.TempDir()
	for client, from := range map[string]string{
		"one":   filepath.Join(realfiles.Dir(t, realfiles.Tormoder), "testdata"),
		"two":   filepath.Join(realfiles.Dir(t, realfiles.Muktihari), "testdata"),
		"three": filepath.Join(realfiles.Dir(t, realfiles.GPXGo), "test_files"),
	} {
		err := filepath.WalkDir(from, func(path string, d fs.DirEntry, err error) error {
			rel, _ := filepath.Rel(from, path)
			into := filepath.Join(dir, "inbox", client, rel)
			switch {
			case err != nil:
				return err
			case d.IsDir():
				return os.MkdirAll(into, 0o700)
			}
			files = append(files, filepath.ToSlash(filepath.Join(client, rel)))
			return os.Symlink(path, into)
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	return dir, files
}

// whole lists the real files that hold an activity with samples and must be
// read or salvaged, or be told as a duplicate of one that was. All others are
// settings, workouts, weights, monitoring, routes without times, or no export. Some
// hold little: one record, or a handful of track points with a time.
const whole = `
one/bpg/garmin.fit
one/chained/activity-activity-filecrc.fit
one/chained/activity-settings-corruptheader.fit
one/chained/activity-settings-nodata.fit
one/chained/activity-settings.fit
one/corrupt/activity-filecrc.fit
one/corrupt/activity-unexpected-eof.fit
one/dcrainmaker/Edge810-Vector-2013-08-16-15-35-10.fit
one/fitsdk/Activity.fit
one/me/activity-large-fenxi2-multisport.fit
one/me/activity-small-fenix2-run.fit
one/misc/0134902991.fit
one/misc/2013-02-06-12-11-14.fit
one/misc/2015-10-13-08-43-15.fit
one/misc/mornindew-broken.fit
one/python-fitparse/antfs-dump.63.fit
one/python-fitparse/compressed-speed-distance.fit
one/python-fitparse/garmin-edge-500-activitiy.fit
one/python-fitparse/sample-activity-indoor-trainer.fit
three/Mojstrovka.gpx
three/cerknicko-without-times.gpx
three/file.gpx
three/gpx-without-root-attributes.gpx
three/gpx-without-xml-declaration.gpx
three/gpx1.0_with_all_fields.gpx
three/gpx1.1_with_all_fields.gpx
three/gpx1.1_with_extensions.gpx
three/graphhopper.gpx.gz
three/korita-zbevnica.gpx
three/visnjan.gpx
two/big_activity.fit
two/chained_Activity_activity_poolswim.fit
two/from_garmin_forums/triathlon_summary_first.fit
two/from_garmin_forums/triathlon_summary_last.fit
two/from_official_sdk/Activity.fit
two/from_official_sdk/ActivityDevFields.fit
two/from_official_sdk/HrmPluginTestActivity.fit
two/from_official_sdk/WithGearChangeData.fit
two/from_official_sdk/activity_developerdata.fit
two/from_official_sdk/activity_lowbattery.fit
two/from_official_sdk/activity_multisport.fit
two/from_official_sdk/activity_poolswim.fit
two/from_official_sdk/activity_poolswim_with_hr.fit
two/from_official_sdk/activity_truncated.fit
two/valid_only_contain_fileid.fit
`

// Open data: the test recordings of three general-purpose libraries. Nothing
// in the inbox is lost: each file has a row, a status and, unless it was
// simply read, a reason; a row that was read names its session and samples.
func TestEveryRealFileHasItsPlace(t *testing.T) {
	dir, inbox := realInbox(t)
	if _, err := pipeline.Run(context.Background(), pipeline.Options{Dir: dir, Now: runTime}); err != nil {
		t.Fatal(err)
	}
	readable, listed := map[string]bool{}, map[string]bool{}
	for _, f := range readAll[tables.File](t, dir, tables.Files) {
		listed[outermost(f.Path, inbox)] = true
		switch f.Status {
		case "read", "salvaged", "duplicate":
			readable[f.Path] = true
			if f.SessionID == "" || f.StartedUTC == nil || f.Samples == nil || *f.Samples == 0 {
				t.Errorf("%s: %s without session, start or samples", f.Path, f.Status)
			}
		case "refused":
		default:
			t.Errorf("%s: status %q", f.Path, f.Status)
		}
		if f.Status != "read" && f.Reason == "" {
			t.Errorf("%s: %s without a reason", f.Path, f.Status)
		}
	}
	for _, path := range inbox {
		if !listed[path] {
			t.Errorf("%s: not in the files table", path)
		}
	}
	want := map[string]bool{}
	for _, path := range strings.Fields(whole) {
		want[path] = true
	}
	if diff := cmp.Diff(want, readable); diff != "" {
		t.Errorf("readable exports (-want +got):\n%s", diff)
	}
}

// outermost is the inbox file that holds a member.
func outermost(member string, inbox []string) string {
	for _, path := range inbox {
		if member == path || strings.HasPrefix(member, path+"/") {
			return path
		}
	}
	return member
}

// Open data: an indoor ride on which the rider pressed the lap button around
// two bouts of ten minutes: 377 s + 601 s at 258 W and 1349 s + 601 s at
// 263 W by the device's own lap messages. They are found without the laps.
func TestIndoorRideOfKnownBouts(t *testing.T) {
	path := filepath.Join(realfiles.Dir(t, realfiles.Tormoder), "testdata/python-fitparse/sample-activity-indoor-trainer.fit")
	inspections, failed := pipeline.Inspect(path, practice.DefaultSettings())
	if len(failed) > 0 || len(inspections) != 1 {
		t.Fatalf("got %d recordings, errors %v", len(inspections), failed)
	}
	bouts := inspections[0].Measurement.Bouts
	want := []struct{ start, length, power float64 }{{377, 601, 258}, {1349, 601, 263}}
	if len(bouts) != len(want) {
		t.Fatalf("found %d bouts, want %d", len(bouts), len(want))
	}
	for i, w := range want {
		b := bouts[i]
		if b.Confidence != "confirmed" || b.Kind != "interval" {
			t.Errorf("bout %d is %s, %s", i+1, b.Confidence, b.Kind)
		}
		if math.Abs(b.StartS-w.start) > 3 || math.Abs(b.EndS-w.start-w.length) > 3 {
			t.Errorf("bout %d: %.1f to %.1f s, pressed at %.0f and %.0f", i+1, b.StartS, b.EndS, w.start, w.start+w.length)
		}
		if got := tables.Value(b.MeanPower); math.Abs(got-w.power) > 0.005*w.power {
			t.Errorf("bout %d: mean %.2f W, device says %.0f W", i+1, got, w.power)
		}
		if b.LapMatch == nil || !*b.LapMatch {
			t.Errorf("bout %d: not matched with the pressed lap", i+1)
		}
	}
}
