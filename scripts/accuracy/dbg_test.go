package main

import (
	"testing"

	"boutwise/metrics/bouts"
)

func TestDbg(t *testing.T) {
	for _, tt := range []struct{ m, p string }{
		{tormoder, "bpg/garmin.fit"}, {tormoder, "misc/mornindew-broken.fit"}, {tormoder, "misc/2013-02-06-12-11-14.fit"}, {muktihari, "from_official_sdk/activity_lowbattery.fit"},{tormoder, "python-fitparse/garmin-edge-500-activitiy.fit"},
		{tormoder, "python-fitparse/sample-activity-indoor-trainer.fit"}, {tormoder, "dcrainmaker/Edge810-Vector-2013-08-16-15-35-10.fit"},
	} {
		println(tt.p)
		bouts.Trace(signalOf(realTrace(t, tt.m, tt.p), bouts.HeartRate))
	}
}
