package metrics

import "testing"

func TestSilentSeconds(t *testing.T) {
	// written has samples at second 0 and then after each of the steps.
	written := func(steps ...int) []bool {
		recorded := []bool{true}
		for _, step := range steps {
			for range step - 1 {
				recorded = append(recorded, step <= MaxBridge)
			}
			recorded = append(recorded, true)
		}
		return recorded
	}
	tests := []struct {
		name     string
		recorded []bool
		pauses   []Stretch
		want     int
	}{
		{"nothing", nil, nil, 0},
		{"every second", written(1, 1, 1), nil, 0},
		{"every ten seconds", written(10, 10), nil, 0},
		{"every eleven seconds", written(11, 11), nil, 20},
		{"a minute", written(60), nil, 59},
		{"more than a minute is a stop", written(61), nil, 0},
		{"a pause of the device", written(20, 20), []Stretch{{0, 20}}, 19},
		{"a pause within", written(20, 20), []Stretch{{25, 31}}, 19},
		{"a pause that ends where the gap begins", written(1, 20), []Stretch{{-5, 1}}, 19},
		{"a pause elsewhere", written(20, 1, 1, 1, 1), []Stretch{{21, 23}}, 19},
		{"two gaps in one pause", written(20, 20), []Stretch{{5, 35}}, 0},
	}
	for _, tt := range tests {
		if got := SilentSeconds(tt.recorded, tt.pauses); got != tt.want {
			t.Errorf("%s: %d s, want %d", tt.name, got, tt.want)
		}
	}
}
