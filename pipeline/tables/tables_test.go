package tables

import (
	"bytes"
	"encoding/csv"
	"strings"
	"testing"
	"time"

	"boutwise/pipeline/calendar"

	"github.com/google/go-cmp/cmp"
	"github.com/parquet-go/parquet-go"
)

func sampleSessions() []Session {
	start := time.Date(2026, 3, 2, 17, 5, 9, 250e6, time.UTC)
	day := calendar.DateOf(start)
	full := Session{
		ClientID: "aune", SessionID: "20260302T170509Z", StartedUTC: start, LocalDate: day,
		Sport: "cycling", Kind: "base", DurationS: 1800, RecordedS: 1790,
		OutputSignal: "power", MeanHR: Num(112.3), MaxHR: Num(0), HRDrift: Num(-1.5),
		HRCoverage: 100, MaxHREstimated: true,
	}
	return []Session{full, {ClientID: "a,\"b\"\nc", SessionID: "x", StartedUTC: start, LocalDate: day}}
}

// A missing value stays missing and a zero stays a zero, in both formats.
func TestRoundTrip(t *testing.T) {
	want := sampleSessions()
	file, err := EncodeParquet(Sessions, want)
	if err != nil {
		t.Fatal(err)
	}
	got, err := DecodeParquet[Session](Sessions, file)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("Parquet round trip (-want +got):\n%s", diff)
	}
	again, _ := EncodeParquet(Sessions, want)
	if !bytes.Equal(file, again) {
		t.Error("equal rows gave different bytes")
	}
}

func TestCSV(t *testing.T) {
	text := append(Sessions.CSVHeader(), EncodeCSV(Sessions, sampleSessions())...)
	records, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	cell := func(row int, name string) string {
		for i, h := range records[0] {
			if h == name {
				return records[row][i]
			}
		}
		t.Fatalf("no column %q", name)
		return ""
	}
	for _, c := range []struct {
		row        int
		name, want string
	}{
		{1, "started_utc", "2026-03-02T17:05:09.25Z"},
		{1, "local_date", "2026-03-02"},
		{1, "mean_hr_bpm", "112.3"},
		{1, "max_hr_bpm", "0"},
		{1, "mean_power_w", ""},
		{1, "max_hr_estimated", "true"},
		{2, "client_id", "a,\"b\"\nc"},
		{2, "output_signal", ""},
	} {
		if got := cell(c.row, c.name); got != c.want {
			t.Errorf("row %d %s = %q, want %q", c.row, c.name, got, c.want)
		}
	}
}

func TestRounding(t *testing.T) {
	rows := []Session{{MeanHR: Num(112.349), HRCoverage: 99.96, DurationS: -0.2}}
	got := rounded(Sessions, rows)[0]
	if *got.MeanHR != 112.3 || got.HRCoverage != 100 || got.DurationS != 0 {
		t.Errorf("rounded to %v, %v, %v", *got.MeanHR, got.HRCoverage, got.DurationS)
	}
	if *rows[0].MeanHR != 112.349 {
		t.Error("rounding changed its input")
	}
}

// Every column has a comment, every measured number a unit: the dictionary
// has no holes.
func TestDictionaryIsWhole(t *testing.T) {
	for _, table := range All() {
		if table.Meaning == "" {
			t.Errorf("table %s has no meaning", table.Name)
		}
		seen := map[string]bool{}
		for _, c := range table.Columns {
			if c.Meaning == "" {
				t.Errorf("%s.%s has no meaning", table.Name, c.Name)
			}
			if seen[c.Name] || c.Name == "" {
				t.Errorf("%s: column name %q repeats or is empty", table.Name, c.Name)
			}
			seen[c.Name] = true
			named := table == Capacities || table == Findings // the row names the unit
			if c.Type == "number" && c.Unit == "" && !named {
				t.Errorf("%s.%s has no unit", table.Name, c.Name)
			}
		}
	}
}

// The columns that the practice's analysts build on.
func TestPromisedColumns(t *testing.T) {
	promised := map[string]string{
		"files":     "path sha256 client_id session_id format status reason device started_utc samples",
		"sessions":  "client_id session_id started_utc local_date sport kind duration_s recorded_s output_signal bouts work_s warmup_s cooldown_s mean_hr_bpm max_hr_bpm mean_power_w mean_speed_m_s hr_drift_pct between_bout_cv_pct last_to_first_bout_pct hr_coverage_pct power_coverage_pct training_impulse rated_exertion",
		"bouts":     "client_id session_id bout kind confidence signal start_utc end_utc start_s end_s duration_s start_uncertainty_s end_uncertainty_s mean_power_w mean_speed_m_s mean_grade_pct mean_oxygen_cost_ml_kg_min steadiness_cv_pct drift_pct_per_min quarter1_pct quarter2_pct quarter3_pct quarter4_pct pacing mean_hr_bpm peak_hr_bpm hr_at_three_quarters_bpm near_max_hr_s recovery_s recovery_output_pct recovery_kind work_to_recovery hr_recovery_60s_bpm lap_match",
		"band_time": "client_id session_id signal band lower upper seconds share_pct bands_effective_from estimated",
		"weeks":     "client_id iso_week sessions minutes base_minutes interval_sessions rounds moderate_minutes vigorous_minutes training_impulse prescribed met",
		"answers":   "client_id iso_week monday asked session_id state met minutes_asked minutes_done rounds_asked rounds_done bout_asked_s bout_done_s even_bouts judged_bouts recovery_asked_s recovery_done_s recovery_output_pct minutes_in_band shortfall",
		"progress":  "client_id as_of stage suggestion reason",
		"capacity":  "client_id as_of quantity value low high method evidence",
		"findings":  "client_id session_id severity finding message value limit method",
	}
	for _, table := range All() {
		have := map[string]bool{}
		for _, c := range table.Columns {
			have[c.Name] = true
		}
		for _, name := range strings.Fields(promised[table.Name]) {
			if !have[name] {
				t.Errorf("table %s lacks column %s", table.Name, name)
			}
		}
	}
}

// Empty optional strings are missing, whatever stands before them. The
// pattern once came out with missing values present.
func TestMissingStringsStayMissing(t *testing.T) {
	var rows []File
	for _, reason := range []string{"", "cut short", "", "", "cut short", "cut short", "", ""} {
		rows = append(rows, File{Path: "p", Status: "read", Reason: reason})
	}
	file, err := EncodeParquet(Files, rows)
	if err != nil {
		t.Fatal(err)
	}
	f, err := parquet.OpenFile(bytes.NewReader(file), int64(len(file)))
	if err != nil {
		t.Fatal(err)
	}
	column, _ := f.Schema().Lookup("reason")
	pages := f.RowGroups()[0].ColumnChunks()[column.ColumnIndex].Pages()
	defer pages.Close()
	page, err := pages.ReadPage()
	if err != nil {
		t.Fatal(err)
	}
	if page.NumNulls() != 5 || page.NumValues() != int64(len(rows)) {
		t.Errorf("%d of %d values missing, want 5 of %d", page.NumNulls(), page.NumValues(), len(rows))
	}
}

func TestMetadata(t *testing.T) {
	file, err := EncodeParquet(Bouts, []Bout{})
	if err != nil {
		t.Fatal(err)
	}
	f, err := parquet.OpenFile(bytes.NewReader(file), int64(len(file)))
	if err != nil {
		t.Fatal(err)
	}
	for key, want := range map[string]string{
		"boutwise.table":      "bouts",
		"column.mean_power_w": "[W] Mean power.",
	} {
		if got, _ := f.Lookup(key); got != want {
			t.Errorf("metadata %s = %q, want %q", key, got, want)
		}
	}
}
