package main

import (
	"testing"

	"boutwise/metrics/bouts"
)

func TestDbg(t *testing.T) {
	for _, tt := range []struct{ m, p string; s bouts.Signal }{
		{tormoder, "bpg/garmin.fit",bouts.HeartRate}, {tormoder, "misc/mornindew-broken.fit",bouts.HeartRate}, {tormoder, "misc/mornindew-broken.fit",bouts.Speed},
		{tormoder, "dcrainmaker/Edge810-Vector-2013-08-16-15-35-10.fit",bouts.Power},
	} {
		println(tt.p)
		bouts.Trace(signalOf(realTrace(t, tt.m, tt.p), tt.s))
	}
}
