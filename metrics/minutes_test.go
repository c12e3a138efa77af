package metrics

import (
	"testing"

	"boutwise/testdata/checks"
)

func TestModerateEquivalent(t *testing.T) {
	const source = "WHO 2020 (Bull et al. 2020), 1 vigorous = 2 moderate"
	for _, test := range []struct {
		id                         string
		moderate, vigorous, minute float64
	}{
		{"meets", 100, 40, 180},
		{"below", 60, 44, 148},
		{"upper-edge", 150, 75, 300},
		{"vigorous-only", 0, 75, 150},
		{"above", 200, 60, 320},
	} {
		got := ModerateEquivalent(test.moderate, test.vigorous)
		computed(t, "who-"+test.id, "moderate-equivalent minutes, "+test.id, source, checks.Published, test.minute, 1e-12, got)
	}
}

func TestModerateVigorous(t *testing.T) {
	// Rest 60, max 180: moderate from 108, vigorous from 132, near-maximal from
	// 168 bpm.
	hr := append(append(append(held(600, 100), held(1200, 110)...), held(300, 140)...), held(60, 170)...)
	moderate, vigorous := ModerateVigorous(BandTime(hr, ReserveEdges(60, 180)))
	if moderate != 20 || vigorous != 6 {
		t.Errorf("%v moderate and %v vigorous minutes, want 20 and 6", moderate, vigorous)
	}
}
