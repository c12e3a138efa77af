package metrics

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"boutwise/testdata/checks"
)

func TestTrainingImpulse(t *testing.T) {
	// The formula's numbers; its constants are from memory.
	const source = "Banister 1991; Morton et al. 1990"
	tests := []struct {
		id                   string
		minutes              int
		hr, rest, max        float64
		wantMale, wantFemale float64
	}{
		{"30min", 30, 130, 40, 200, 31.8025, 37.1285},
		{"45min", 45, 150, 60, 190, 75.3302, 85.1376},
		{"60min", 60, 150, 60, 190, 100.4403, 113.5168},
		{"40min", 40, 140, 60, 180, 61.3827, 69.8203},
		{"max", 1, 180, 60, 180, 4.365413, 4.568465},
	}
	for _, test := range tests {
		counts := CountValues(held(60*test.minutes, test.hr))
		computed(t, "banister-male-"+test.id, "training impulse, men, "+test.id, source, checks.FromMemory,
			test.wantMale, 5.1e-5, TrainingImpulse(counts, test.rest, test.max, Male))
		computed(t, "banister-female-"+test.id, "training impulse, women, "+test.id, source, checks.FromMemory,
			test.wantFemale, 5.1e-5, TrainingImpulse(counts, test.rest, test.max, Female))
	}

	// Summed by sample, not from the mean, which would give 50.2201 and 56.7584.
	two := CountValues(slices.Concat(held(1200, 140), held(600, 170)))
	computed(t, "banister-male-segments", "20 min at 140 and 10 min at 170 bpm, men", source, checks.FromMemory,
		53.1649, 5.1e-5, TrainingImpulse(two, 60, 190, Male))
	computed(t, "banister-female-segments", "20 min at 140 and 10 min at 170 bpm, women", source, checks.FromMemory,
		59.4777, 5.1e-5, TrainingImpulse(two, 60, 190, Female))
}

func TestTrainingImpulseEdges(t *testing.T) {
	hour := CountValues(held(3600, 120))
	tests := []struct {
		name      string
		hr        Counts
		rest, max float64
		sex       Sex
		want      float64
	}{
		{"no heart rate", nil, 60, 180, Male, missing},
		{"sex unknown", hour, 60, 180, "", missing},
		{"no resting rate", hour, missing, 180, Male, missing},
		{"no maximal rate", hour, 60, missing, Female, missing},
		{"maximum below rest", hour, 60, 60, Female, missing},
		{"below rest counts as rest", CountValues(held(60, 50)), 60, 180, Male, 0},
	}
	for _, test := range tests {
		if got := TrainingImpulse(test.hr, test.rest, test.max, test.sex); !equalOrMissing(got, test.want) {
			t.Errorf("%s: %v, want %v", test.name, got, test.want)
		}
	}
}

func TestTrainingImpulseConvex(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		hr := drawColumn(t, "hr", 60, 190)
		mean := whole(hr).Mean(hr)
		if math.IsNaN(mean) {
			return
		}
		bySample := TrainingImpulse(CountValues(hr), 60, 190, Female)
		byMean := TrainingImpulse(Counts{{mean, countValid(hr)}}, 60, 190, Female)
		if bySample < byMean-1e-9 {
			t.Fatalf("%v by sample is below %v from the mean", bySample, byMean)
		}
	})
}
