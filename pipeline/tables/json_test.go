package tables

import (
	"encoding/json"
	"testing"
	"time"

	"boutwise/pipeline/calendar"
)

// A row reads in JSON as it does in the CSV file, but for missing values,
// which are null.
func TestFieldsMatchTheFiles(t *testing.T) {
	day, err := calendar.ParseDate("2026-03-09")
	if err != nil {
		t.Fatal(err)
	}
	got, err := json.Marshal(Fields(Sessions, Session{
		ClientID: "c1", SessionID: "s1", LocalDate: day, Kind: "base", DurationS: 1800.4, MeanHR: Num(120.26),
		StartedUTC: time.Date(2026, 3, 9, 7, 30, 0, 500e6, time.FixedZone("CET", 3600)),
	}))
	if err != nil {
		t.Fatal(err)
	}
	var back map[string]any
	if err := json.Unmarshal(got, &back); err != nil {
		t.Fatal(err)
	}
	if len(back) != len(Sessions.Columns) {
		t.Errorf("%d fields for %d columns", len(back), len(Sessions.Columns))
	}
	want := map[string]any{
		"client_id": "c1", "local_date": "2026-03-09", "started_utc": "2026-03-09T06:30:00.5Z",
		"duration_s": 1800.0, "mean_hr_bpm": 120.3, "max_hr_bpm": nil, "output_signal": nil, "sport": "",
		"max_hr_estimated": false, "bouts": 0.0,
	}
	for name, value := range want {
		if have, there := back[name]; !there || have != value {
			t.Errorf("%s: %v, want %v", name, have, value)
		}
	}
}
