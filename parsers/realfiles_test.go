package parsers

import (
	"errors"
	"path"
	"testing"

	"boutwise/parsers/internal/parsertest"
	"boutwise/parsers/recording"
)

// outcome is what becomes of a real file: so many legs and samples, and
// whether repairs were needed; or the reason why it is refused.
type outcome struct {
	legs, samples int
	salvaged      bool
	refused       error
}

func readable(legs, samples int) outcome { return outcome{legs: legs, samples: samples} }
func salvageable(legs, samples int) outcome {
	return outcome{legs: legs, samples: samples, salvaged: true}
}
func refused(reason error) outcome { return outcome{refused: reason} }

// outcomes holds every device file that comes with the decoders' modules, by
// module and path under its folder of test files.
var outcomes = map[string]map[string]outcome{
	parsertest.Tormoder: {
		"bpg/garmin.fit":                                     readable(1, 8823),
		"chained/activity-activity-filecrc.fit":              salvageable(2, 28), // second checksum wrong
		"chained/activity-settings-corruptheader.fit":        salvageable(1, 14), // second header broken
		"chained/activity-settings-nodata.fit":               salvageable(1, 14), // second file empty
		"chained/activity-settings.fit":                      readable(1, 14),
		"corrupt/activity-filecrc.fit":                       salvageable(1, 14),
		"corrupt/activity-unexpected-eof.fit":                salvageable(1, 14),
		"dcrainmaker/Edge810-Vector-2013-08-16-15-35-10.fit": readable(1, 4700),
		"fitsdk/Activity.fit":                                readable(1, 14),
		"fitsdk/DeveloperData.fit":                           refused(recording.ErrNoSamples), // no times
		"fitsdk/MonitoringFile.fit":                          refused(recording.ErrNoActivity),
		"fitsdk/Settings.fit":                                refused(recording.ErrNoActivity),
		"fitsdk/WeightScaleMultiUser.fit":                    refused(recording.ErrNoActivity),
		"fitsdk/WeightScaleSingleUser.fit":                   refused(recording.ErrNoActivity),
		"fitsdk/WorkoutCustomTargetValues.fit":               refused(recording.ErrNoActivity),
		"fitsdk/WorkoutIndividualSteps.fit":                  refused(recording.ErrNoActivity),
		"fitsdk/WorkoutRepeatGreaterThanStep.fit":            refused(recording.ErrNoActivity),
		"fitsdk/WorkoutRepeatSteps.fit":                      refused(recording.ErrNoActivity),
		"me/activity-large-fenxi2-multisport.fit":            readable(7, 24239),
		"me/activity-small-fenix2-run.fit":                   readable(1, 2809),
		"misc/0134902991.fit":                                readable(1, 739),
		"misc/2013-02-06-12-11-14.fit":                       readable(1, 590),
		"misc/2015-10-13-08-43-15.fit":                       readable(1, 221),
		"misc/mornindew-broken.fit":                          salvageable(1, 6874), // power in a developer field
		"python-fitparse/antfs-dump.63.fit":                  salvageable(1, 686),  // compressed timestamps, dated 1990
		"python-fitparse/compressed-speed-distance.fit":      salvageable(1, 755),  // dated 1990
		"python-fitparse/garmin-edge-500-activitiy.fit":      readable(1, 10686),
		"python-fitparse/sample-activity-indoor-trainer.fit": readable(1, 2263),
		"sram/Settings.fit":                                  refused(recording.ErrNoActivity),
		"sram/Settings2.fit":                                 refused(recording.ErrNoActivity),
	},
	parsertest.Muktihari: {
		"TestEncode.fit":                                     refused(recording.ErrNoSamples), // one record, no time
		"big_activity.fit":                                   readable(1, 99998),
		"chained_Activity_activity_poolswim.fit":             salvageable(2, 3625), // heart rate in a developer field
		"from_garmin_forums/triathlon_summary_first.fit":     salvageable(5, 4043), // session fields have grown
		"from_garmin_forums/triathlon_summary_last.fit":      salvageable(5, 4043),
		"from_official_sdk/Activity.fit":                     salvageable(1, 3601), // heart rate in a developer field
		"from_official_sdk/ActivityDevFields.fit":            salvageable(1, 3601),
		"from_official_sdk/DeveloperData.fit":                refused(recording.ErrNoSamples),
		"from_official_sdk/HrmPluginTestActivity.fit":        readable(1, 310), // heartbeats in chained files
		"from_official_sdk/MonitoringFile.fit":               refused(recording.ErrNoActivity),
		"from_official_sdk/Settings.fit":                     refused(recording.ErrNoActivity),
		"from_official_sdk/WeightScaleMultiUser.fit":         refused(recording.ErrNoActivity),
		"from_official_sdk/WeightScaleSingleUser.fit":        refused(recording.ErrNoActivity),
		"from_official_sdk/WithGearChangeData.fit":           readable(1, 1979),
		"from_official_sdk/WorkoutCustomTargetValues.fit":    refused(recording.ErrNoActivity),
		"from_official_sdk/WorkoutIndividualSteps.fit":       refused(recording.ErrNoActivity),
		"from_official_sdk/WorkoutRepeatGreaterThanStep.fit": refused(recording.ErrNoActivity),
		"from_official_sdk/WorkoutRepeatSteps.fit":           refused(recording.ErrNoActivity),
		"from_official_sdk/activity_developerdata.fit":       salvageable(1, 3601),
		"from_official_sdk/activity_lowbattery.fit":          readable(1, 3976),
		"from_official_sdk/activity_multisport.fit":          readable(2, 78),
		"from_official_sdk/activity_poolswim.fit":            readable(1, 24),
		"from_official_sdk/activity_poolswim_with_hr.fit":    readable(1, 3501),
		"from_official_sdk/activity_truncated.fit":           readable(1, 14), // whole by its own header
		"valid_only_contain_fileid.fit":                      readable(1, 1),
	},
	parsertest.GPXGo: {
		"Mojstrovka.gpx":                                salvageable(1, 184), // dated 1901
		"cerknicko-without-times.gpx":                   salvageable(1, 5),   // 291 points without a time
		"file.gpx":                                      readable(1, 4),
		"gpx-without-root-attributes.gpx":               salvageable(1, 1), // dated 1901
		"gpx-without-xml-declaration.gpx":               salvageable(1, 1), // dated 1901
		"gpx1.0_with_all_fields.gpx":                    readable(1, 1),
		"gpx1.1_with_all_fields.gpx":                    readable(1, 1),
		"gpx1.1_with_extensions.gpx":                    readable(1, 1),
		"gpx1.1_with_extensions_without_namespaces.gpx": refused(recording.ErrNoActivity), // waypoints only
		"gpx_with_garmin_extension.gpx":                 refused(recording.ErrNoActivity),
		"graphhopper.gpx.gz":                            salvageable(1, 22), // 149 points without a time
		"iso8859-1encoded.gpx":                          refused(recording.ErrNoActivity),
		"korita-zbevnica.gpx":                           salvageable(1, 513), // two tracks, 5 minutes apart
		"visnjan.gpx":                                   readable(1, 413),
	},
}

// folders are where the modules keep their files.
var folders = map[string]string{
	parsertest.Tormoder: "testdata", parsertest.Muktihari: "testdata", parsertest.GPXGo: "test_files",
}

// TestRealFiles takes every device file of the three modules through Expand and
// Parse. A file that a new version of a module brings fails until it is listed.
func TestRealFiles(t *testing.T) {
	for module, want := range outcomes {
		left := len(want)
		for _, file := range parsertest.Files(t, module, folders[module], ".fit", ".gpx", ".gpx.gz") {
			rel := file[len(folders[module])+1:]
			expected, ok := want[rel]
			if !ok {
				t.Errorf("%s: not in the table", file)
				continue
			}
			left--
			t.Run(path.Base(module)+"/"+rel, func(t *testing.T) {
				data := parsertest.Read(t, module, file)
				members := 0
				for m := range ExpandBytes(rel, data, Limits{}) {
					members++
					if m.Err != nil || m.Path != rel {
						t.Fatalf("expanded to %s: %v", m.Path, m.Err)
					}
					checkOutcome(t, m.Data, expected)
				}
				if members != 1 {
					t.Errorf("%d members", members)
				}
			})
		}
		if left != 0 {
			t.Errorf("%s: %d files of the table are missing", module, left)
		}
	}
}

func checkOutcome(t *testing.T, data []byte, want outcome) {
	t.Helper()
	recs, err := Parse(data, Limits{})
	if want.refused != nil {
		if !errors.Is(err, want.refused) || len(recs) > 0 {
			t.Errorf("%d legs, %v; want %v", len(recs), err, want.refused)
		}
		return
	}
	if err != nil {
		t.Fatal(err)
	}
	got := outcome{legs: len(recs)}
	for i, rec := range recs {
		got.samples += rec.Samples.Len()
		got.salvaged = got.salvaged || len(rec.Salvage) > 0
		if err := parsertest.Consistent(rec); err != nil || rec.Leg != i {
			t.Errorf("leg %d numbered %d: %v", i, rec.Leg, err)
		}
	}
	if got != want {
		t.Errorf("got %+v, want %+v", got, want)
	}
}
