package bouts_test

import (
	"math"
	"testing"

	"boutwise/metrics/bouts"
	"boutwise/metrics/synthetic"
)

// hour is an input of one hour of a scenario, so that benchmark times read as
// cost an hour of data.
func hour(b *testing.B, name string) bouts.Input {
	b.Helper()
	for _, sc := range synthetic.Scenarios() {
		if sc.Name != name {
			continue
		}
		for seed := uint64(1); ; seed++ {
			in := sc.Session(seed).Input()
			n := len(in.Values)
			if n < 3600 {
				continue
			}
			return cut(in, 3600)
		}
	}
	b.Fatalf("no scenario %q", name)
	return bouts.Input{}
}

// cut keeps the first n seconds.
func cut(in bouts.Input, n int) bouts.Input {
	in.Values = in.Values[:n]
	if in.Recorded != nil {
		in.Recorded, in.Observed = in.Recorded[:n], in.Observed[:n]
	}
	if in.Altitude != nil {
		in.Altitude = in.Altitude[:n]
	}
	if in.HeartRate != nil {
		in.HeartRate = in.HeartRate[:n]
	}
	return in
}

func BenchmarkHour(b *testing.B) {
	for _, name := range []string{
		"trainer rounds", "trainer 30/30", "pace rounds", "outdoor rounds",
		"outdoor blocks", "none: hilly", "none: commute", "rate rounds", "rate bursts", "none: rate outdoors",
	} {
		b.Run(name, func(b *testing.B) {
			in := hour(b, name)
			for b.Loop() {
				bouts.Find(in, bouts.DefaultSettings())
			}
		})
	}
}

// BenchmarkDay is the worst that can be fed in: a day's length of what the
// search finds hardest.
func BenchmarkDay(b *testing.B) {
	const n = 24 * 3600
	rng := synthetic.NewRand(1, 1)
	values := func(f func(i int) float64) []float64 {
		x := make([]float64, n)
		for i := range x {
			x[i] = f(i)
		}
		return x
	}
	cases := []struct {
		name   string
		values []float64
	}{
		{"constant", values(func(int) float64 { return 150 })},
		{"missing", values(func(int) float64 { return math.NaN() })},
		{"white noise", values(func(int) float64 { return max(0, 150+60*rng.NormFloat64()) })},
		{"30/30", values(func(i int) float64 { return 100 + float64(i/30%2)*100 + 8*rng.NormFloat64() })},
		{"20/10", values(func(i int) float64 {
			if i%30 < 20 {
				return 250 + 10*rng.NormFloat64()
			}
			return 0
		})},
		{"4 min/4 min", values(func(i int) float64 { return 100 + float64(i/240%2)*100 + 8*rng.NormFloat64() })},
		{"random walk", walk(n)},
		{"hilly ride", synthetic.AR1{SD: 1, TimeConstant: 60}.Series(rng, n)},
	}
	for i := range cases[len(cases)-1].values {
		v := &cases[len(cases)-1].values[i]
		*v = max(0, 150+60**v+40*rng.NormFloat64())
	}
	for _, signal := range []bouts.Signal{bouts.Power, bouts.HeartRate} {
		for _, c := range cases {
			b.Run(string(signal)+"/"+c.name, func(b *testing.B) {
				in := bouts.Input{Signal: signal, Values: c.values}
				for b.Loop() {
					bouts.Find(in, bouts.DefaultSettings())
				}
			})
		}
	}
}

// walk is a level that never stays.
func walk(n int) []float64 {
	rng := synthetic.NewRand(2, 2)
	x := make([]float64, n)
	level := 150.0
	for i := range x {
		level = min(400, max(20, level+5*rng.NormFloat64()))
		x[i] = level
	}
	return x
}
