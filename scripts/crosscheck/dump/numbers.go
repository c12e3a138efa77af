package main

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"

	"boutwise/metrics"
	"boutwise/metrics/bouts"
	"boutwise/metrics/stats"
)

// seed begins every generated column; each case draws from its own stream, so
// that a further case changes none of the others.
const seed = 1871

// problem is one generated input with what this program makes of it.
type problem struct {
	ID   string            `json:"id"`
	Kind string            `json:"kind"`
	X    column            `json:"x"`
	Y    column            `json:"y"`
	Ours map[string]figure `json:"ours"`

	// Of the bout finder alone: who published the protocol, its rounds, and the
	// confirmed bouts' edges in seconds.
	Source     string `json:"source,omitempty"`
	Rounds     int    `json:"rounds,omitempty"`
	Boundaries column `json:"boundaries,omitempty"`
}

// numbers prints all problems.
func numbers(out *json.Encoder) error {
	var all []problem
	stream := uint64(0)
	next := func() *rand.Rand { stream++; return rand.New(rand.NewPCG(seed, stream)) }
	for _, shape := range shapes {
		x, y := shape.draw(next())
		all = append(all,
			lineProblem(shape.name, x, y), theilSenProblem(shape.name, x, y),
			kendallProblem(shape.name, y), quantileProblem(shape.name, y))
	}
	for _, model := range []metrics.PowerModel{metrics.WorkTime, metrics.InverseTime, metrics.Hyperbola} {
		p, err := powerProblem(model, next())
		if err != nil {
			return err
		}
		all = append(all, p)
	}
	all = append(all, boutProblems(next)...)
	decays, err := drawFalls(next)
	if err != nil {
		return err
	}
	for _, p := range append(all, decays...) {
		if err := out.Encode(p); err != nil {
			return err
		}
	}
	return nil
}

// shapes are the kinds of columns that are drawn. What is rounded has ties.
var shapes = []struct {
	name string
	draw func(*rand.Rand) (x, y []float64)
}{
	{"noisy line", func(r *rand.Rand) (x, y []float64) {
		return points(60, r, func(i int) float64 { return 150 + 0.4*float64(i) + 6*r.NormFloat64() })
	}},
	{"ties", func(r *rand.Rand) (x, y []float64) {
		return points(45, r, func(i int) float64 { return math.Round(120 - 0.05*float64(i) + 2*r.NormFloat64()) })
	}},
	{"no trend", func(r *rand.Rand) (x, y []float64) {
		return points(101, r, func(int) float64 { return r.ExpFloat64() })
	}},
	{"outliers", func(r *rand.Rand) (x, y []float64) {
		return points(80, r, func(i int) float64 {
			if r.IntN(8) == 0 {
				return 1000 * r.Float64()
			}
			return 3 - 0.02*float64(i) + 0.3*r.NormFloat64()
		})
	}},
	{"missing values", func(r *rand.Rand) (x, y []float64) {
		return points(70, r, func(i int) float64 {
			if r.IntN(5) == 0 {
				return math.NaN()
			}
			return 90 + 0.1*float64(i) + r.NormFloat64()
		})
	}},
}

// points draws n points at uneven places in rising order.
func points(n int, r *rand.Rand, value func(i int) float64) (x, y []float64) {
	at := 0.0
	for i := range n {
		at += 0.5 + r.Float64()
		x, y = append(x, at), append(y, value(i))
	}
	return x, y
}

func lineProblem(name string, x, y []float64) problem {
	p := problem{ID: "line " + name, Kind: "line", X: x, Y: y}
	if fit, err := stats.LinearFit(x, y); err == nil {
		p.Ours = map[string]figure{
			"intercept": figure(fit.Coef[0]), "slope": figure(fit.Coef[1]),
			"intercept_stderr": figure(fit.StdErr[0]), "slope_stderr": figure(fit.StdErr[1]), "r2": figure(fit.R2),
		}
	}
	return p
}

func theilSenProblem(name string, x, y []float64) problem {
	line := stats.TheilSen(x, y, 0.95)
	return problem{ID: "theilsen " + name, Kind: "theilsen", X: x, Y: y, Ours: map[string]figure{
		"slope": figure(line.Slope), "intercept": figure(line.Intercept),
		"low": figure(line.Low), "high": figure(line.High),
	}}
}

func kendallProblem(name string, y []float64) problem {
	test := stats.MannKendall(y)
	return problem{ID: "mannkendall " + name, Kind: "mannkendall", Y: y, Ours: map[string]figure{
		"s": figure(test.S), "z": figure(test.Z), "p": figure(test.P),
	}}
}

func quantileProblem(name string, y []float64) problem {
	p := problem{ID: "quantiles " + name, Kind: "quantiles", Y: y, Ours: map[string]figure{
		"mean": figure(stats.Mean(y)), "sd": figure(stats.SampleSD(y)),
	}}
	for _, percent := range []int{0, 5, 25, 50, 75, 95, 100} {
		p.Ours[fmt.Sprintf("q%d", percent)] = figure(stats.Quantile(y, float64(percent)/100))
	}
	return p
}

// powerProblem fits a critical power to five efforts, X in seconds and Y in
// watts, that scatter around 200 W and 15 kJ.
func powerProblem(model metrics.PowerModel, r *rand.Rand) (problem, error) {
	p := problem{ID: "critical power " + string(model), Kind: string(model)}
	var efforts []metrics.Effort
	for _, seconds := range []float64{150, 240, 420, 660, 1100} {
		watts := math.Round(10*(200+15_000/seconds+2*r.NormFloat64())) / 10
		efforts = append(efforts, metrics.Effort{Seconds: seconds, Watts: watts})
		p.X, p.Y = append(p.X, seconds), append(p.Y, watts)
	}
	fit, err := metrics.FitCriticalPower(efforts, model, 0.95)
	if err != nil {
		return problem{}, err
	}
	p.Ours = map[string]figure{
		"cp_w": figure(fit.CP), "w_prime_j": figure(fit.WPrime),
		"cp_stderr": figure(fit.CPErr), "w_prime_stderr": figure(fit.WPrimeErr),
	}
	return p, nil
}

// protocols are those of published trials, with outputs that the protocols
// leave to the reader: rounds of seconds of work and recovery, and watts.
var protocols = []struct {
	name, source   string
	rounds         int
	work, recovery int
	high, low      float64
}{
	{"4 × 4 min, 3 min between", "Helgerud et al. 2007", 4, 240, 180, 200, 120},
	{"20 of 47 × 15 s, 15 s between", "Helgerud et al. 2007", 20, 15, 15, 220, 130},
	{"8 × 20 s, 10 s between", "Tabata et al. 1996", 8, 20, 10, 350, 20},
	{"4 × 4 min, 2 min between", "Seiler and Sylta 2017", 4, 240, 120, 240, 90},
	{"4 × 8 min, 2 min between", "Seiler and Sylta 2017", 4, 480, 120, 220, 90},
	{"4 × 16 min, 2 min between", "Seiler and Sylta 2017", 4, 960, 120, 200, 90},
	{"10 × 30 s, 3.5 min between", "Hov et al. 2022", 10, 30, 210, 400, 80},
	{"5 × 3 min, 3 min between", "Mendes et al. 2019", 5, 180, 180, 150, 80},
	{"10 × 1 min, 1 min between", "trial in prediabetes, PMC6528388", 10, 60, 60, 180, 60},
	{"12 × 30 s, 4.5 min between", "Laursen et al. 2002", 12, 30, 270, 400, 80},
}

// boutProblems are indoor sessions of power by the protocols, with the
// boundaries that the finder gives.
func boutProblems(next func() *rand.Rand) []problem {
	var all []problem
	for _, protocol := range protocols {
		r := next()
		p := problem{ID: protocol.name, Kind: "bouts", Source: protocol.source, Rounds: protocol.rounds}
		hold := func(seconds int, watts float64) {
			for range seconds {
				p.Y = append(p.Y, math.Round(watts+4*r.NormFloat64()))
			}
		}
		hold(600, 100)
		for i := range protocol.rounds {
			hold(protocol.work, protocol.high)
			if i+1 < protocol.rounds {
				hold(protocol.recovery, protocol.low)
			}
		}
		hold(300, 70)
		for _, b := range bouts.Find(bouts.Input{Signal: bouts.Power, Values: p.Y}, bouts.DefaultSettings()) {
			if b.Confidence == bouts.Confirmed {
				p.Boundaries = append(p.Boundaries, b.Start, b.End)
			}
		}
		all = append(all, p)
	}
	return all
}
