package main

import (

	"testing"

	"boutwise/metrics/bouts"
)

func TestDbg(t *testing.T) {
	in := signalOf(realTrace(t, tormoder, "python-fitparse/sample-activity-indoor-trainer.fit"), bouts.Power)
	_ = in; //[360:400], in.Values[970:990], in.Values[1335:1365], in.Values[1940:1965])
	in = signalOf(realTrace(t, tormoder, "dcrainmaker/Edge810-Vector-2013-08-16-15-35-10.fit"), bouts.Power)
	_ = in; //[3080:3260])
	bouts.Trace(in)
}
