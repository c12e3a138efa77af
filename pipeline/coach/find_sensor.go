package coach

import (
	"fmt"

	"boutwise/metrics/bouts"
	"boutwise/pipeline/practice"
)

// trouble is one thing that is wrong with a session's heart-rate sensor.
type trouble struct {
	value, limit float64
	what         string // a format for the value; "" for no trouble
}

// sensorTrouble says what is wrong with the session's heart rate. A session
// without any is no trouble: there was no sensor.
func sensorTrouble(v *SessionView, set practice.FindingSettings) trouble {
	s := &v.Session
	if s.HRCoverage == 0 && s.HRRepaired == 0 {
		return trouble{}
	}
	repaired := 100 * float64(s.HRRepaired) / max(1, float64(s.HRSamples))
	switch {
	case v.CadenceLockPct >= set.CadenceLockPct:
		return trouble{v.CadenceLockPct, set.CadenceLockPct, "equals the cadence in %.0f %% of seconds"}
	case repaired > set.RepairedPct:
		return trouble{repaired, set.RepairedPct, "frozen, spiking or impossible in %.0f %% of samples"}
	case s.HRCoverage < set.LowCoveragePct:
		return trouble{s.HRCoverage, set.LowCoveragePct, "present in only %.0f %% of recorded seconds"}
	}
	return trouble{}
}

// lookAtSensor reports sensor trouble.
func (r *review) lookAtSensor(v *view) {
	if t := v.trouble; v.distrusted() {
		r.find(v, Soon, SensorTrouble, t.value, t.limit, "coverage, repairs and agreement with cadence; "+noSource,
			"heart-rate sensor: %s; figures from heart rate are not judged in this session", fmt.Sprintf(t.what, t.value))
	}
	if s := &v.Session; s.OutputSignal == string(bouts.Power) && s.PowerCoverage < r.set.Findings.LowCoveragePct {
		r.find(v, Soon, SensorTrouble, s.PowerCoverage, r.set.Findings.LowCoveragePct, "coverage; "+noSource,
			"power meter: present in only %.0f %% of recorded seconds", s.PowerCoverage)
	}
}

// lookAtRecording reports a device that writes too seldom to be measured by.
func (r *review) lookAtRecording(v *view) {
	s, limit := &v.Session, r.set.Findings.SilentPct
	if silent := 100 * s.SilentS / max(1, s.TrainedS()); silent >= limit {
		r.find(v, Note, SparseRecording, silent, limit, "time in gaps of 11 to 60 s in which the device tells no pause, in percent of the time trained; "+noSource,
			"the device wrote nothing in %.0f %% of the session: means, bands and bouts rest on the rest, and bouts may be missed; set it to record every second", silent)
	}
}
