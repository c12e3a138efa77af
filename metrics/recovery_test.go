package metrics

import (
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"boutwise/testdata/checks"
)

func TestRecoveries(t *testing.T) {
	// Two bouts of 60 s at 200 W, recoveries at 50 W and 150 W.
	output := slices.Concat(held(100, 80), held(60, 200), held(120, 50), held(60, 200), held(300, 150))
	bouts := []Stretch{{100, 160}, {280, 340}}
	want := []Recovery{
		{Stretch{160, 280}, 25, Passive, 0.5},
		{Stretch{340, 520}, 75, Active, missing},
	}
	got := Recoveries(output, nil, bouts)
	if diff := cmp.Diff(want, got, cmpopts.EquateNaNs(), cmpopts.EquateApprox(0, 1e-12)); diff != "" {
		t.Errorf("recoveries (-want +got):\n%s", diff)
	}
	keepsInput(t, "Recoveries", output, func(c []float64) { Recoveries(c, nil, bouts) })
	if got := Recoveries(output, nil, nil); len(got) != 0 {
		t.Errorf("no bouts: %v, want none", got)
	}
}

func TestRecoveryKinds(t *testing.T) {
	work := held(60, 200)
	tests := []struct {
		name    string
		after   []float64 // second by second after the bout
		stopped int       // so many seconds of them, from the end, are not recorded
		kind    RecoveryKind
		pct     float64
		length  float64
	}{
		{"exactly half", held(60, 100), 0, Passive, 50, 60},
		{"just above half", held(60, 101), 0, Active, 50.5, 60},
		{"stood still", held(60, 0), 0, Passive, 0, 60},
		{"stopped the device after slowing down", slices.Concat(held(10, 160), held(50, missing)), 50, Passive, 80, 60},
		{"stopped it for less than half", slices.Concat(held(40, 160), held(20, missing)), 20, Active, 80, 60},
		{"output lost while recording", held(60, missing), 0, UnknownRecovery, missing, 60},
		{"the session ends with the bout", nil, 0, UnknownRecovery, missing, 0},
		{"cut at three minutes", slices.Concat(held(180, 60), held(60, 500)), 0, Passive, 30, 180},
	}
	for _, test := range tests {
		output := slices.Concat(work, test.after)
		recorded := slices.Repeat([]bool{true}, len(output))
		for i := range test.stopped {
			recorded[len(recorded)-1-i] = false
		}
		got := Recoveries(output, recorded, []Stretch{{0, 60}})[0]
		if got.Kind != test.kind || !closeOrMissing(got.OutputPct, test.pct, 1e-9) || got.Duration() != test.length {
			t.Errorf("%s: %q at %v %% for %v s, want %q, %v, %v", test.name,
				got.Kind, got.OutputPct, got.Duration(), test.kind, test.pct, test.length)
		}
	}

	// A bout without output has nothing to compare with.
	got := Recoveries(held(200, missing), nil, []Stretch{{0, 60}, {120, 180}})[0]
	if got.Kind != UnknownRecovery || got.WorkToRecovery != 1 {
		t.Errorf("no output: %+v, want an unknown kind and 1 to 1", got)
	}
}

// The protocols of published trials: rounds of work and recovery, in seconds.
func TestPublishedProtocols(t *testing.T) {
	for _, p := range []struct {
		id, source     string
		rounds         int
		work, recovery float64
		ratio          float64 // as the protocol has it
		kind           BoutKind
	}{
		{"4 × 4 min, 3 min", "Helgerud et al. 2007", 4, 240, 180, 4.0 / 3, Interval},
		{"15 s, 15 s", "Helgerud et al. 2007", 47, 15, 15, 1, Burst},
		{"5 × 3 min, 3 min", "Mendes et al. 2019", 5, 180, 180, 1, Interval},
		{"10 × 1 min, 1 min", "trial in prediabetes, PMC6528388", 10, 60, 60, 1, Burst},
		{"8 × 20 s, 10 s", "Tabata et al. 1996", 8, 20, 10, 2, Burst},
		{"12 × 30 s, 4.5 min", "Laursen et al. 2002", 12, 30, 270, 1.0 / 9, Burst},
		{"4 × 4 min, 2 min", "Seiler and Sylta 2017", 4, 240, 120, 2, Interval},
		{"4 × 8 min, 2 min", "Seiler and Sylta 2017", 4, 480, 120, 4, Interval},
		{"4 × 16 min, 2 min", "Seiler and Sylta 2017", 4, 960, 120, 8, Block},
		{"10 × 30 s, 3.5 min", "Hov et al. 2022", 10, 30, 210, 1.0 / 7, Burst},
	} {
		var bouts []Stretch
		for i := range p.rounds {
			start := 600 + float64(i)*(p.work+p.recovery)
			bouts = append(bouts, Stretch{start, start + p.work})
		}
		recoveries := Recoveries(held(12000, 100), nil, bouts)
		for i, r := range recoveries[:p.rounds-1] {
			if math.Abs(r.WorkToRecovery-p.ratio) > 1e-12 || r.Duration() != p.recovery {
				t.Errorf("%s: recovery %d is %+v", p.id, i+1, r)
			}
		}
		computed(t, "protocol-"+p.id, "work to recovery of "+p.id, p.source, checks.Published, p.ratio, 1e-12, recoveries[0].WorkToRecovery)
		if got := BoutKindOf(p.work, DefaultKindLimits()); got != p.kind {
			t.Errorf("%s: bouts are called %s, want %s", p.id, got, p.kind)
		}
	}
}

func TestHRRecovery60(t *testing.T) {
	falling := filled(200, func(i int) float64 { return 170 - 0.25*float64(i) })
	hole := slices.Clone(falling)
	hole[101] = missing
	tests := []struct {
		name string
		hr   []float64
		end  float64
		want float64
	}{
		{"whole second", falling, 40, 15},
		{"between seconds", falling, 40.5, 15},
		{"missing at the end of the minute", hole, 41, missing},
		{"missing beside a fraction", hole, 40.5, missing},
		{"not missing at the exact second", hole, 40, 15},
		{"the recording ends first", falling, 140, missing},
		{"its last sample serves", falling, 139, 15},
		{"a fraction beyond the last sample", falling, 139.5, missing},
		{"before the start", falling, -1, missing},
		{"unknown end", falling, missing, missing},
		{"nil", nil, 0, missing},
	}
	for _, test := range tests {
		if got := HRRecovery60(test.hr, test.end); !closeOrMissing(got, test.want, 1e-9) {
			t.Errorf("%s: %v, want %v", test.name, got, test.want)
		}
	}

	// A drop of 12 bpm is abnormal in all three published wordings, 13 in none
	// (Cole 1999: 12 or less; Nishime 2000: not more than 12; Sydó 2018: less
	// than 13).
	hr := filled(61, func(i int) float64 { return 170 - 12*float64(i)/60 })
	further := filled(61, func(i int) float64 { return 170 - 13*float64(i)/60 })
	computed(t, "cole-13", "drop from 170 to 157 bpm in 60 s, bpm", "Cole et al. 1999, beyond the cut point", checks.Published, 13, 1e-9, HRRecovery60(further, 0))
	computed(t, "cole-12", "drop from 170 to 158 bpm in 60 s, bpm", "Cole et al. 1999, cut point", checks.Published, 12, 1e-9, HRRecovery60(hr, 0))
}
