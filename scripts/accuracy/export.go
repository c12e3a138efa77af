package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"strings"

	"boutwise/metrics/bouts"
	"boutwise/metrics/synthetic"
)

// exported is one session as pelt.py reads it: 10 s means of the signal, null
// where nothing was measured.
type exported struct {
	Scenario string     `json:"scenario"`
	Seed     uint64     `json:"seed"`
	Means    []*float64 `json:"means"`
}

// exportedMean is the length in seconds of the means that are exported.
const exportedMean = 10

// export writes the sessions, one a line.
func export(o options) (err error) {
	file, err := os.Create(o.export)
	if err != nil {
		return err
	}
	defer func() {
		if closed := file.Close(); err == nil {
			err = closed
		}
	}()
	out := bufio.NewWriter(file)
	lines := json.NewEncoder(out)
	for _, sc := range synthetic.Scenarios() {
		if !strings.Contains(sc.Name, o.scenario) {
			continue
		}
		for k := range o.each {
			s := sc.Session(o.first + uint64(k))
			if err := lines.Encode(exported{s.Scenario, s.Seed, means(s.Input())}); err != nil {
				return err
			}
		}
	}
	return out.Flush()
}

// means are the 10 s means of a signal; a stopped recording counts as no
// output, as it does for the finder.
func means(in bouts.Input) []*float64 {
	var out []*float64
	for a := 0; a < len(in.Values); a += exportedMean {
		sum, n := 0.0, 0.0
		for i := a; i < min(len(in.Values), a+exportedMean); i++ {
			switch {
			case !math.IsNaN(in.Values[i]):
				sum += in.Values[i]
				n++
			case !in.Recorded[i] && in.Signal != bouts.HeartRate:
				n++
			}
		}
		if n == 0 {
			out = append(out, nil)
			continue
		}
		mean := sum / n
		out = append(out, &mean)
	}
	return out
}

// foreign holds the spans of a method that ran elsewhere.
type foreign map[string][]span

// readSpans reads what pelt.py wrote: a line a session.
func readSpans(path string) (foreign, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	found := foreign{}
	lines := json.NewDecoder(bufio.NewReader(file))
	for lines.More() {
		var one struct {
			Scenario string       `json:"scenario"`
			Seed     uint64       `json:"seed"`
			Spans    [][2]float64 `json:"spans"`
		}
		if err := lines.Decode(&one); err != nil {
			return nil, fmt.Errorf("%s: %w", path, err)
		}
		key := sessionKey(one.Scenario, one.Seed)
		found[key] = []span{}
		for _, s := range one.Spans {
			found[key] = append(found[key], span{start: s[0], end: s[1]})
		}
	}
	return found, nil
}

// spans answers for one session.
func (f foreign) spans(s synthetic.Session, _ bouts.Input) []span {
	return f[sessionKey(s.Scenario, s.Seed)]
}

func sessionKey(scenario string, seed uint64) string { return fmt.Sprintf("%s/%d", scenario, seed) }
