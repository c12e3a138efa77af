package main

import (
	"fmt"
	"io"

	"boutwise/metrics/bouts"
	"boutwise/metrics/synthetic"
)

// method is one way of finding bouts.
type method struct {
	name string
	find func(synthetic.Session, bouts.Input) []span
}

// line is one scenario or one group, with a tally for each method.
type line struct {
	name    string
	group   synthetic.Group
	tallies []tally
	wrong   []string // the sessions that went wrong, when asked for
}

// table gathers the scenarios in order.
type table struct {
	methods []method
	misses  bool
	lines   []line
}

// begin starts a scenario.
func (t *table) begin(sc synthetic.Scenario) {
	t.lines = append(t.lines, line{name: sc.Name, group: sc.Group, tallies: make([]tally, len(t.methods))})
}

// add measures one session by every method.
func (t *table) add(session synthetic.Session) {
	l := &t.lines[len(t.lines)-1]
	in := session.Input()
	for k, m := range t.methods {
		spans := m.find(session, in)
		good := l.tallies[k].add(session, in, spans)
		if k == 0 && t.misses && !good {
			l.wrong = append(l.wrong, explain(session, in))
		}
	}
}

// print writes the scenarios, and below each group its sum for every method.
func (t *table) print(w io.Writer) {
	fmt.Fprintf(w, "%-50s %-13s %5s %6s %6s %6s %6s %6s %6s %6s %6s %6s %6s %6s\n", "scenario", "method",
		"sess", "bouts", "recall", "prec", "whole", "edge50", "edge95", "cover", "mean95", "qtr50", "pacing", "alarms")
	sums := make([]tally, len(t.methods))
	for k, l := range t.lines {
		row(w, l.name, t.methods[0].name, l.tallies[0])
		for _, s := range l.wrong {
			fmt.Fprint(w, s)
		}
		for m := range sums {
			sums[m].merge(l.tallies[m])
		}
		if k+1 < len(t.lines) && t.lines[k+1].group == l.group {
			continue
		}
		for m, sum := range sums {
			row(w, "  = "+string(l.group), t.methods[m].name, sum)
			sums[m] = tally{}
		}
	}
}

// row writes one line; what does not apply is a dash.
func row(w io.Writer, name, method string, t tally) {
	fmt.Fprintf(w, "%-50s %-13s %5d %6d", name, method, t.sessions, t.truth)
	figure := func(v float64, places int) {
		if v != v {
			fmt.Fprintf(w, " %6s", "-")
			return
		}
		fmt.Fprintf(w, " %6.*f", places, v)
	}
	figure(share(t.matched, t.truth), 1)
	figure(share(t.matched, t.found), 1)
	figure(share(t.whole, t.matched), 1)
	figure(quantile(t.errors, 0.5), 2)
	figure(quantile(t.errors, 0.95), 2)
	figure(share(t.covered, len(t.errors)), 1)
	figure(quantile(t.meanErrors, 0.95), 2)
	figure(quantile(t.quarters, 0.5), 2)
	figure(share(t.paced, t.pacedOf), 1)
	if t.truth == 0 {
		figure(share(t.falseAlarms, t.sessions), 1)
	} else {
		figure(share(0, 0), 1)
	}
	fmt.Fprintln(w)
}

// explain tells what was true and what was found in one session: c for
// confirmed, p for possible, each with its score.
func explain(session synthetic.Session, in bouts.Input) string {
	s := fmt.Sprintf("    seed %d, %d s\n      true ", session.Seed, len(in.Values))
	for _, t := range session.Truth {
		s += fmt.Sprintf(" %.0f-%.0f", t.Start, t.End)
	}
	s += "\n      found"
	for _, b := range bouts.Find(in, bouts.DefaultSettings()) {
		s += fmt.Sprintf(" %.0f-%.0f%s%.2f", b.Start, b.End, b.Confidence[:1], b.Score)
	}
	return s + "\n"
}
