package main

import (
	"fmt"
	"math"
	"testing"

	"boutwise/metrics/bouts"
)

func TestDbg(t *testing.T) {
	for _, tt := range []struct {
		m, p string
		s    [][2]int
	}{
		{tormoder, "dcrainmaker/Edge810-Vector-2013-08-16-15-35-10.fit", [][2]int{{1910, 2530}, {2600, 3100}, {3280, 4060}, {4110, 4440}, {1350, 1760}, {300, 900}}},
		{muktihari, "from_official_sdk/activity_lowbattery.fit", [][2]int{{1470, 1675}, {1860, 2055}, {2240, 2440}, {2640, 2840}, {580, 870}}},
		{tormoder, "bpg/garmin.fit", [][2]int{{696, 1010}, {2000, 2600}, {5000, 5600}, {7000, 7600}}},
		{tormoder, "python-fitparse/sample-activity-indoor-trainer.fit", [][2]int{{390, 970}, {1360, 1940}}},
	} {
		in := signalOf(realTrace(t, tt.m, tt.p), bouts.Power)
		for _, s := range tt.s {
			v := in.Values[s[0]:s[1]]
			st := func(k int) float64 {
				var x []float64
				for i := 0; i+k <= len(v); i += k {
					m := 0.0
					for _, a := range v[i : i+k] {
						m += a / float64(k)
					}
					if !math.IsNaN(m) {
						x = append(x, m)
					}
				}
				m, q := 0.0, 0.0
				for _, a := range x {
					m += a / float64(len(x))
				}
				for _, a := range x {
					q += (a - m) * (a - m) / float64(len(x)-1)
				}
				return math.Sqrt(q) / m
			}
			fmt.Printf("%s %v cv1 %.3f cv5 %.3f cv10 %.3f cv30 %.3f cv60 %.3f\n", tt.p[:8], s, st(1), st(5), st(10), st(30), st(60))
		}
	}
}
