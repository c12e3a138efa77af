package coach

import (
	"fmt"

	"boutwise/metrics/bouts"
)

// trouble is one thing that is wrong with a session's heart-rate sensor.
type trouble struct {
	value, limit float64
	what         string
}

// sensorTrouble says what is wrong with the session's heart rate, or nil. A
// session without any is no trouble: there was no sensor.
func (r *review) sensorTrouble(v *view) *trouble {
	s, set := v.Session, r.set.Findings
	if s.HRCoverage == 0 && s.HRRepaired == 0 {
		return nil
	}
	repaired := 100 * float64(s.HRRepaired) / max(1, s.RecordedS)
	switch {
	case v.CadenceLockPct >= set.CadenceLockPct:
		return &trouble{v.CadenceLockPct, set.CadenceLockPct, fmt.Sprintf("equals the cadence in %.0f %% of seconds", v.CadenceLockPct)}
	case repaired > set.RepairedPct:
		return &trouble{repaired, set.RepairedPct, fmt.Sprintf("frozen, spiking or impossible in %.0f %% of seconds", repaired)}
	case s.HRCoverage < set.LowCoveragePct:
		return &trouble{s.HRCoverage, set.LowCoveragePct, fmt.Sprintf("present in only %.0f %% of recorded seconds", s.HRCoverage)}
	}
	return nil
}

// distrusted tells a session whose heart rate must carry no verdict.
func (r *review) distrusted(v *view) bool { return r.sensorTrouble(v) != nil }

// lookAtSensor reports sensor trouble.
func (r *review) lookAtSensor(v *view) {
	if t := r.sensorTrouble(v); t != nil {
		r.find(v, Soon, SensorTrouble, t.value, t.limit, "coverage, repairs and agreement with cadence; "+noSource,
			"heart-rate sensor: %s; figures from heart rate are not judged in this session", t.what)
	}
	if s := v.Session; s.OutputSignal == string(bouts.Power) && s.PowerCoverage < r.set.Findings.LowCoveragePct {
		r.find(v, Soon, SensorTrouble, s.PowerCoverage, r.set.Findings.LowCoveragePct, "coverage; "+noSource,
			"power meter: present in only %.0f %% of recorded seconds", s.PowerCoverage)
	}
}
