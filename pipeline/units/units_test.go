package units

import (
	"math"
	"testing"
)

func TestPace(t *testing.T) {
	tests := []struct {
		name   string
		system System
		speed  float64 // m/s
		want   string
	}{
		// 42.195 km in 3 h is 4:16 a kilometre and 6:52 a mile, as pace tables
		// have it.
		{"marathon in three hours", Metric, 42195.0 / 10800, "4:16"},
		{"marathon in three hours, miles", Imperial, 42195.0 / 10800, "6:52"},
		{"rounds up to the next minute", Metric, 1000 / 359.6, "6:00"},
		{"slow walk", Metric, 0.9, "18:31"},
		{"an hour a kilometre", Metric, 1000.0 / 3600, "60:00"},
		{"standing", Metric, 0.1, ""},
		{"missing", Metric, math.NaN(), ""},
	}
	for _, tt := range tests {
		if got := tt.system.Pace(tt.speed); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
}

func TestNumbers(t *testing.T) {
	tests := []struct {
		unit Unit
		si   float64
		want string
	}{
		{Metric.Speed(), 10, "36.0"},
		{Imperial.Speed(), 0.44704, "1.0"}, // NIST SP 811: 1 mph is 0.44704 m/s
		{Metric.Distance(), 9007, "9.01"},
		{Imperial.Distance(), 42195, "26.22"},
		{Metric.Height(), 81.8, "82"},
		{Imperial.Height(), 1609.344, "5280"},
		{Metric.Speed(), math.NaN(), ""},
		{Metric.Speed(), math.Inf(1), ""},
	}
	for _, tt := range tests {
		if got := tt.unit.Number(tt.si); got != tt.want {
			t.Errorf("%g in %s: %q, want %q", tt.si, tt.unit.Name, got, tt.want)
		}
	}
}

func TestNamesFollowTheSystem(t *testing.T) {
	if Metric.PaceName() != "min/km" || Imperial.PaceName() != "min/mi" {
		t.Errorf("pace in %s and %s", Metric.PaceName(), Imperial.PaceName())
	}
	for sport, want := range map[string]bool{"running": true, "walking": true, "cycling": false, "other": false} {
		if OnFoot(sport) != want {
			t.Errorf("OnFoot(%s) = %v", sport, !want)
		}
	}
}
