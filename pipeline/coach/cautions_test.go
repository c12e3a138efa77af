package coach

import "testing"

func TestSplitCaution(t *testing.T) {
	for _, tt := range []struct{ caution, own, harder string }{
		{cautionMedication + " " + cautionHarder, cautionMedication, cautionHarder},
		{cautionHarder, "", cautionHarder},
		{cautionMedication, cautionMedication, ""},
		{"", "", ""},
	} {
		if own, harder := SplitCaution(tt.caution); own != tt.own || harder != tt.harder {
			t.Errorf("%q parts into %q and %q", tt.caution, own, harder)
		}
	}
}
