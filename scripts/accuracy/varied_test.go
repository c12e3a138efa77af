package main

import (
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"testing"

	"boutwise/metrics/bouts"
	"boutwise/metrics/synthetic"
)

// variation is what another device, client or day would have made of the same
// recording. Bouts do not depend on it.
type variation struct {
	name string
	of   func(bouts.Input) bouts.Input
	at   func(float64) float64 // where a time of the recording went to
}

// variations are mild: each leaves in place what a coach would see.
func variations() []variation {
	still := func(t float64) float64 { return t }
	var all []variation
	for lost := 1; lost <= 5; lost++ {
		all = append(all, variation{fmt.Sprintf("first %d s missing", lost),
			func(in bouts.Input) bouts.Input { return cropped(in, lost) },
			func(t float64) float64 { return t - float64(lost) }})
	}
	for _, factor := range []float64{0.8, 0.9, 1.1, 1.25} {
		all = append(all, variation{fmt.Sprintf("time times %v", factor),
			func(in bouts.Input) bouts.Input { return stretched(in, factor) },
			func(t float64) float64 { return factor * t }})
	}
	for seed := range uint64(3) {
		for _, noise := range []synthetic.AR1{{SD: 0.05}, {SD: 0.1}, {SD: 0.2}, {SD: 0.05, TimeConstant: 33}} {
			all = append(all, variation{fmt.Sprintf("noise %v, %d", noise, seed),
				func(in bouts.Input) bouts.Input { return noisy(in, noise, seed) }, still})
		}
		all = append(all, variation{fmt.Sprintf("one in 20 lost, %d", seed),
			func(in bouts.Input) bouts.Input { return lossy(in, seed) }, still})
	}
	for _, every := range []int{2, 3, 5} {
		all = append(all, variation{fmt.Sprintf("every %d s", every),
			func(in bouts.Input) bouts.Input { return thinned(in, every) }, still})
	}
	return append(all, variation{"no altitude", func(in bouts.Input) bouts.Input {
		in.Altitude = nil
		return in
	}, still})
}

// eachColumn applies a change to every column that there is.
func eachColumn(in bouts.Input, change func([]float64) []float64) bouts.Input {
	for _, c := range []*[]float64{&in.Values, &in.Altitude, &in.HeartRate} {
		if *c != nil {
			*c = change(*c)
		}
	}
	return in
}

func cropped(in bouts.Input, from int) bouts.Input {
	in.Recorded, in.Observed = in.Recorded[from:], in.Observed[from:]
	return eachColumn(in, func(x []float64) []float64 { return x[from:] })
}

func stretched(in bouts.Input, factor float64) bouts.Input {
	n := int(float64(len(in.Values)) * factor)
	at := func(i int) int { return min(len(in.Recorded)-1, int(float64(i)/factor)) }
	out := eachColumn(in, func(x []float64) []float64 {
		y := make([]float64, n)
		for i := range y {
			y[i] = x[at(i)]
		}
		return y
	})
	out.Recorded, out.Observed = make([]bool, n), make([]bool, n)
	for i := range n {
		out.Recorded[i], out.Observed[i] = in.Recorded[at(i)], in.Observed[at(i)]
	}
	return out
}

// noisy varies the output by shares; a heart rate by as many beats as suit it.
func noisy(in bouts.Input, noise synthetic.AR1, seed uint64) bouts.Input {
	e := noise.Series(synthetic.NewRand(seed, 3), len(in.Values))
	values := slices.Clone(in.Values)
	for i := range values {
		if in.Signal == bouts.HeartRate {
			values[i] = math.Round(values[i] + 15*e[i])
		} else {
			values[i] = max(0, values[i]*(1+e[i]))
		}
	}
	in.Values = values
	return in
}

func lossy(in bouts.Input, seed uint64) bouts.Input {
	rng := synthetic.NewRand(seed, 5)
	in.Values = slices.Clone(in.Values)
	for i := range in.Values {
		if rng.Float64() < 0.05 {
			in.Values[i] = math.NaN()
		}
	}
	return in
}

// thinned keeps one sample in so many and draws straight lines between them.
func thinned(in bouts.Input, every int) bouts.Input {
	in.Values, in.Observed = slices.Clone(in.Values), slices.Clone(in.Observed)
	for i := range in.Values {
		k := i % every
		if k == 0 || i-k+every >= len(in.Values) {
			continue
		}
		a, b := in.Values[i-k], in.Values[i-k+every]
		in.Values[i], in.Observed[i] = a+(b-a)*float64(k)/float64(every), false
	}
	return in
}

// TestRealBoutsVaried holds that the riders' bouts are found in nearly every
// variation of their recordings, and nothing else.
func TestRealBoutsVaried(t *testing.T) {
	tests := []struct {
		name, module, path string
		signal             bouts.Signal
		want               [][2]float64 // start and end, s
		within             float64      // s
		most               int          // variations in which they may be missed
	}{
		{"indoor trainer", tormoder, "python-fitparse/sample-activity-indoor-trainer.fit", bouts.Power,
			[][2]float64{{377, 978}, {1349, 1950}}, 10, 0},
		{"indoor trainer by heart rate", tormoder, "python-fitparse/sample-activity-indoor-trainer.fit", bouts.HeartRate,
			[][2]float64{{377, 978}, {1349, 1950}}, 15, 0},
		// A ride that is brisk throughout: about the hardest that is asked for.
		{"outdoor blocks", tormoder, "dcrainmaker/Edge810-Vector-2013-08-16-15-35-10.fit", bouts.Power,
			[][2]float64{{1907, 3109}, {3241, 4443}}, 40, 3},
		{"outdoor blocks by heart rate", tormoder, "dcrainmaker/Edge810-Vector-2013-08-16-15-35-10.fit", bouts.HeartRate,
			[][2]float64{{1907, 3109}, {3241, 4443}}, 60, 3},
		{"hill repeats", muktihari, "from_official_sdk/activity_lowbattery.fit", bouts.Power,
			[][2]float64{{1462, 1682}, {1843, 2063}, {2222, 2447}, {2618, 2851}}, 40, 0},
		{"hill repeats by heart rate", muktihari, "from_official_sdk/activity_lowbattery.fit", bouts.HeartRate,
			[][2]float64{{1462, 1682}, {1843, 2063}, {2222, 2447}, {2618, 2851}}, 40, 0},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			in := signalOf(realTrace(t, tt.module, tt.path), tt.signal)
			missed := 0
			for _, v := range variations() {
				got := confirmedOf(bouts.Find(v.of(in), bouts.DefaultSettings()))
				good := len(got) == len(tt.want)
				for k := 0; good && k < len(got); k++ {
					good = math.Abs(got[k].start-v.at(tt.want[k][0])) <= tt.within && math.Abs(got[k].end-v.at(tt.want[k][1])) <= tt.within
				}
				if !good {
					missed++
					t.Logf("%s: %v", v.name, got)
				}
			}
			if missed > tt.most {
				t.Errorf("missed in %d of %d variations, at most %d", missed, len(variations()), tt.most)
			}
		})
	}
}

// TestRealUnstructuredVaried holds that recordings without a set, by the signal
// that they would be judged by, hardly ever come out with one.
func TestRealUnstructuredVaried(t *testing.T) {
	alarms, total := 0, 0
	for _, tt := range []struct {
		module, path string
		signal       bouts.Signal
	}{
		{tormoder, "bpg/garmin.fit", bouts.Power},
		{tormoder, "me/activity-large-fenxi2-multisport.fit", bouts.OxygenCost},
		{tormoder, "me/activity-small-fenix2-run.fit", bouts.OxygenCost},
		{tormoder, "misc/0134902991.fit", bouts.Power},
		{tormoder, "misc/2013-02-06-12-11-14.fit", bouts.OxygenCost},
		{tormoder, "misc/mornindew-broken.fit", bouts.OxygenCost},
		{tormoder, "misc/mornindew-broken.fit", bouts.Power},
		{tormoder, "python-fitparse/garmin-edge-500-activitiy.fit", bouts.HeartRate},
		{tormoder, "python-fitparse/antfs-dump.63.fit", bouts.HeartRate},
		{muktihari, "from_garmin_forums/triathlon_summary_last.fit", bouts.Power},
		{muktihari, "from_official_sdk/WithGearChangeData.fit", bouts.Power},
	} {
		in := signalOf(realTrace(t, tt.module, tt.path), tt.signal)
		if in.Values == nil {
			t.Errorf("%s has no %s", tt.path, tt.signal)
			continue
		}
		for _, v := range variations() {
			total++
			if got := confirmedOf(bouts.Find(v.of(in), bouts.DefaultSettings())); len(got) > 0 {
				alarms++
				t.Logf("%s, %s: %v", filepath.Base(tt.path), v.name, got)
			}
		}
	}
	if most := total / 50; alarms > most {
		t.Errorf("a confirmed set in %d of %d variations, at most %d", alarms, total, most)
	}
}
