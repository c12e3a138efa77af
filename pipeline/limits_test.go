package pipeline_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"boutwise/pipeline/tables"
)

// limitTrial is a limit of practice.toml, lowered, and a file that passes it.
type limitTrial struct {
	setting string
	name    string
	data    []byte
	reason  string
}

func limitTrials(t *testing.T) []limitTrial {
	ride := gpxOf(morning, 1200, rounds)
	idle := bytes.Repeat([]byte("idle "), 150_000)
	lapped := tcxOf(morning, 900, rounds)
	for i := range 150 {
		lap := fmt.Sprintf("</Track></Lap><Lap StartTime=\"2026-06-10T07:%02d:%02dZ\"><Track>", i/60, i%60)
		mark := fmt.Sprintf("<Trackpoint><Time>2026-06-10T07:%02d:%02dZ", i/60, i%60)
		lapped = bytes.Replace(lapped, []byte(mark), []byte(lap+mark), 1)
	}
	return []limitTrial{
		{"export_bytes = 1048576", "big.gpx", append(ride, bytes.Repeat([]byte("<!-- -->"), 120_000)...), "more than 1 MiB"},
		{"samples = 1000", "ride.gpx", ride, "more than 1000"},
		{"marks = 100", "laps.tcx", lapped, "more than 100"},
		{"xml_depth = 16", "deep.gpx", bytes.Replace(ride, []byte("<trkseg>"), []byte("<extensions>"+strings.Repeat("<a>", 20)+strings.Repeat("</a>", 20)+"</extensions><trkseg>"), 1), "deeper than 16"},
		{"archive_members = 1", "two.zip", zipOf(t, "a.gpx", ride, "b.gpx", gpxOf(morning.AddDate(0, 0, 1), 600, rounds)), "more than 1 members"},
		{"archive_nesting = 1", "in.zip", zipOf(t, "in.zip", zipOf(t, "a.gpx", ride)), "more than 1 containers"},
		{"unpacking_ratio = 10\nexport_bytes = 1048576", "idle.zip", zipOf(t, "1", idle, "2", idle, "3", idle, "a.gpx", ride), "more than 10 times its size"},
		{"earliest_year = 2027", "ride.gpx", ride, "dated 2026-06-10"},
		{"latest_year = 2025", "ride.gpx", ride, "dated 2026-06-10"},
	}
}

// Every limit is a setting: lowered, it refuses or doubts what passes it and
// says so; raised again, the next run reads what it had kept out.
func TestLimitsAreSettings(t *testing.T) {
	for _, tr := range limitTrials(t) {
		t.Run(strings.Fields(tr.setting)[0], func(t *testing.T) {
			dir := t.TempDir()
			put(t, dir, "practice.toml", "[limits]\n"+tr.setting+"\n", "inbox/c1/"+tr.name, tr.data)
			told := func() (reasons string, read int) {
				runOnce(t, dir)
				for _, f := range readTable[tables.File](t, dir, tables.Files, "c1") {
					reasons += f.Reason + "\n"
					if f.Status == "read" {
						read++
					}
				}
				return reasons, read
			}
			before, few := told()
			if !strings.Contains(before, tr.reason) {
				t.Errorf("%q does not say %q", before, tr.reason)
			}
			put(t, dir, "practice.toml", "")
			after, more := told()
			if strings.Contains(after, tr.reason) || more <= few {
				t.Errorf("%d read, then %d; reasons now %q", few, more, after)
			}
		})
	}
}
