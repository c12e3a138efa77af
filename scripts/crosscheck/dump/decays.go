package main

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"

	"boutwise/metrics"
	"boutwise/metrics/bouts"
	"boutwise/parsers"
)

// decayProblem fits an exponential fall to a whole column.
func decayProblem(id string, y []float64) (problem, error) {
	fall, err := metrics.FitDecay(y, metrics.Stretch{End: float64(len(y))}, metrics.DefaultDecayLimits())
	if err != nil {
		return problem{}, fmt.Errorf("%s: %w", id, err)
	}
	return problem{ID: id, Kind: "decay", Y: y, Ours: map[string]figure{
		"level": figure(fall.Level), "level_stderr": figure(fall.LevelErr),
		"drop": figure(fall.Drop), "drop_stderr": figure(fall.DropErr),
		"tau_s": figure(fall.Tau), "tau_stderr": figure(fall.TauErr), "sd": figure(fall.SD),
	}}, nil
}

// falls are the kinds of exponential fall that are drawn.
var falls = []struct {
	name                       string
	seconds                    int
	level, drop, tau, noise    float64
	missingFrom, missingBefore int
}{
	{"fast fall", 180, 70, 80, 25, 1.5, 0, 0},
	{"usual fall", 180, 95, 50, 50, 2, 0, 0},
	{"slow fall", 300, 85, 35, 95, 1, 0, 0},
	{"fall with a gap", 240, 90, 60, 60, 1.5, 20, 60},
}

// drawFalls gives a problem of each kind, heart rates rounded as sensors do.
func drawFalls(next func() *rand.Rand) ([]problem, error) {
	var all []problem
	for _, f := range falls {
		r := next()
		y := make([]float64, f.seconds)
		for t := range y {
			y[t] = math.Round(f.level + f.drop*math.Exp(-float64(t)/f.tau) + f.noise*r.NormFloat64())
			if t >= f.missingFrom && t < f.missingBefore {
				y[t] = math.NaN()
			}
		}
		p, err := decayProblem(f.name, y)
		if err != nil {
			return nil, err
		}
		all = append(all, p)
	}
	return all, nil
}

// longestFall bounds a recovery, in seconds.
const longestFall = 300

// recoveries prints the fit of heart rate after each confirmed bout of an
// export with power, from the bout's end to the next bout, 5 minutes at most.
func recoveries(file string, out *json.Encoder) error {
	data, err := os.ReadFile(file)
	if err != nil {
		return err
	}
	recs, err := parsers.Parse(data, parsers.DefaultLimits())
	if err != nil {
		return err
	}
	for _, rec := range recs {
		s := &rec.Samples
		trace, _ := metrics.BuildTrace(metrics.Columns{TimeMS: s.TimeMS, Channels: metrics.Channels{
			HeartRate: s.HeartRate, Power: s.Power,
		}}, false)
		found := bouts.Find(bouts.Input{
			Signal: bouts.Power, Values: trace.Power, Recorded: trace.Recorded, Observed: trace.Observed,
			HeartRate: trace.HeartRate,
		}, bouts.DefaultSettings())
		for i, b := range found {
			end := math.Min(b.End+longestFall, float64(trace.N))
			if i+1 < len(found) {
				end = math.Min(end, found[i+1].Start)
			}
			recovery := metrics.Stretch{Start: b.End, End: end}
			p, err := decayProblem(fmt.Sprintf("%s, after bout %d", filepath.Base(file), i+1), recovery.Of(trace.HeartRate))
			if err != nil {
				return err
			}
			if err := out.Encode(p); err != nil {
				return err
			}
		}
	}
	return nil
}
