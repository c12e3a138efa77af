package review

import (
	"testing"

	"boutwise/pipeline/practice"
	"boutwise/pipeline/tables"
)

// Under medication that limits heart rate no time near the maximum is told: 0
// would read as a verdict.
func TestNearMaxUnderMedication(t *testing.T) {
	data := SessionFacts{Bouts: []tables.Bout{{Bout: 1, NearMaxHR: ptr(0.0)}}}
	for _, c := range []struct {
		medication bool
		want       string
	}{{false, "0:00"}, {true, absent}} {
		client := practice.Client{ID: "c1", HRLimitingMedication: c.medication}
		if got := factsOf(client, &data).NearMax[0]; got != c.want {
			t.Errorf("medication %t: got %q, want %q", c.medication, got, c.want)
		}
	}
}
