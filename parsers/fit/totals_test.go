package fit

import (
	"fmt"
	"math"
	"testing"

	"boutwise/parsers/internal/parsertest"
	"boutwise/parsers/recording"
	"boutwise/testdata/checks"
)

// Tolerances for what the devices themselves wrote. They average whole seconds
// at full precision and round the result; the samples are rounded first.
const (
	elapsedTolS   = 3.5  // first sample to last against start to stop
	meanHRTol     = 1.2  // beats a minute
	maxHRTol      = 1.0  // a device may hold a maximum between two samples
	meanPowerTol  = 0.01 // of the value
	lapHRTol      = 1.5
	lapPowerTol   = 0.02
	lapCoveredMin = 0.9 // samples a second, for a lap's mean to compare
)

// offElapsed names the files whose device counted another time than that of
// its samples, with how far off it is.
var offElapsed = map[string]float64{
	// The rider stopped 43 s before the end of the session.
	"testdata/bpg/garmin.fit": 44,
	// The trainer's elapsed time leaves 19 s of pauses out.
	"testdata/misc/0134902991.fit": 19,
	// An invented file: 99,998 records by the second, 30,877 s in its session.
	"testdata/big_activity.fit": 70_000,
	// A sample a length, and the last length ends in a rest.
	"testdata/chained_Activity_activity_poolswim.fit":          20,
	"testdata/from_official_sdk/activity_poolswim.fit":         20,
	"testdata/from_official_sdk/activity_poolswim_with_hr.fit": 16,
}

// offHeartRate names the file whose device averaged over something else: the
// watch of this swim, which took the strap's heartbeats in afterwards, wrote
// the mean of the lengths, rests left out.
var offHeartRate = map[string]bool{"testdata/from_official_sdk/activity_poolswim_with_hr.fit": true}

// comparison is how one kind of figure compares over all files.
type comparison struct {
	figures int
	worst   float64 // largest difference, as a share of what is allowed
}

// comparisons are by kind of figure.
type comparisons map[string]*comparison

// add takes one pair of figures and tells whether they agree.
func (c comparisons) add(what string, got, want, tolerance float64) bool {
	if c[what] == nil {
		c[what] = &comparison{}
	}
	c[what].figures++
	difference := math.Abs(got - want)
	if difference > 0 {
		c[what].worst = max(c[what].worst, difference/tolerance)
	}
	return difference <= tolerance
}

// TestTotalsOfDevices holds the samples against what the device wrote about
// them in its session and lap messages.
func TestTotalsOfDevices(t *testing.T) {
	figures := comparisons{}
	for _, module := range []string{parsertest.Tormoder, parsertest.Muktihari} {
		for _, path := range parsertest.Files(t, module, "testdata", ".fit") {
			recs, err := Parse(parsertest.Read(t, module, path), recording.Limits{})
			if err != nil {
				continue // TestRealFiles of the parent package says which
			}
			for _, rec := range recs {
				t.Run(path, func(t *testing.T) {
					checkSession(t, path, rec, figures)
					checkLaps(t, path, rec, figures)
				})
			}
		}
	}
	for _, kind := range []struct {
		what, allowed string
		least         int
	}{
		{"elapsed", "3.5 s, six named files more", 48},
		{"mean heart rate", "1.2 bpm", 23},
		{"max heart rate", "1 bpm", 24},
		{"mean power", "1 W and 1 %", 7},
		{"max power", "nothing", 7},
		{"lap heart rate", "1.5 bpm", 50},
		{"lap power", "1 W and 2 %", 24},
	} {
		found := figures[kind.what]
		if found == nil || found.figures < kind.least {
			t.Fatalf("%s: compared %+v, expected %d figures at least", kind.what, found, kind.least)
		}
		checks.Near(t, checks.Check{
			ID: "fit-totals-" + kind.what,
			What: fmt.Sprintf("%s of %d real sessions or laps: largest difference as a share of what is allowed (%s)",
				kind.what, found.figures, kind.allowed),
			Source: "the devices' own summaries", Class: checks.OpenData, Want: 0, Tol: 1,
		}, found.worst)
		t.Logf("%s: %+v", kind.what, *found)
	}
}

func checkSession(t *testing.T, path string, rec *recording.Recording, figures comparisons) {
	s, totals := &rec.Samples, rec.Totals
	check := func(what string, got, want, tolerance float64) {
		if math.IsNaN(want) || math.IsNaN(got) {
			return
		}
		if !figures.add(what, got, want, tolerance) {
			t.Errorf("leg %d, %s: %.2f, device wrote %.2f", rec.Leg, what, got, want)
		}
	}
	span := float64(s.TimeMS[s.Len()-1]-s.TimeMS[0]) / 1000
	check("elapsed", span, totals.ElapsedS, max(elapsedTolS, offElapsed[path]))
	mean, most := meanAndMax(s.HeartRate)
	if !offHeartRate[path] {
		check("mean heart rate", mean, totals.MeanHR, meanHRTol)
	}
	check("max heart rate", most, totals.MaxHR, maxHRTol)
	mean, most = meanAndMax(s.Power)
	check("mean power", mean, totals.MeanPower, 1+meanPowerTol*totals.MeanPower)
	check("max power", most, totals.MaxPower, 0)
}

func checkLaps(t *testing.T, path string, rec *recording.Recording, figures comparisons) {
	s := &rec.Samples
	for i, lap := range rec.Laps {
		var heartRate, power []float64
		for k, ms := range s.TimeMS {
			// A sample stands for the second that ends with it.
			if ms <= lap.StartMS || ms > lap.EndMS {
				continue
			}
			if s.HeartRate != nil {
				heartRate = append(heartRate, s.HeartRate[k])
			}
			if s.Power != nil {
				power = append(power, s.Power[k])
			}
		}
		covered := lapCoveredMin * float64(lap.EndMS-lap.StartMS) / 1000
		if mean, _ := meanAndMax(heartRate); float64(len(heartRate)) >= covered && mean > 0 && lap.MeanHeartRate > 0 && !offHeartRate[path] {
			if !figures.add("lap heart rate", mean, lap.MeanHeartRate, lapHRTol) {
				t.Errorf("leg %d lap %d: mean heart rate %.1f, device wrote %.0f", rec.Leg, i, mean, lap.MeanHeartRate)
			}
		}
		if mean, _ := meanAndMax(power); float64(len(power)) >= covered && mean > 0 && lap.MeanPower > 0 {
			if !figures.add("lap power", mean, lap.MeanPower, 1+lapPowerTol*lap.MeanPower) {
				t.Errorf("leg %d lap %d: mean power %.1f, device wrote %.0f", rec.Leg, i, mean, lap.MeanPower)
			}
		}
	}
}

// meanAndMax are NaN without values.
func meanAndMax(column []float64) (mean, most float64) {
	sum, n, most := 0.0, 0.0, math.NaN()
	for _, v := range column {
		if math.IsNaN(v) {
			continue
		}
		sum += v
		n++
		if !(most >= v) {
			most = v
		}
	}
	return sum / n, most
}
