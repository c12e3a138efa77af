// Command accuracy measures the bout finder on invented sessions whose bouts
// are known, and two plainer methods beside it: a fixed threshold on a moving
// mean, and change points alone (by the Python part, pelt.py).
//
//	go run ./scripts/accuracy [-sessions 2000] [-first 100000] [-scenario NAME]
//
// The seeds from 100000 on were never used for choosing anything in the finder.
package main

import (
	"flag"
	"fmt"
	"os"
	"strings"

	"boutwise/metrics/bouts"
	"boutwise/metrics/synthetic"
)

func main() {
	sessions := flag.Int("sessions", 2000, "sessions in all, spread over the scenarios")
	first := flag.Uint64("first", 100000, "first seed")
	only := flag.String("scenario", "", "only scenarios whose name contains this")
	misses := flag.Bool("misses", false, "name the sessions that went wrong")
	flag.Parse()

	scenarios := synthetic.Scenarios()
	each := (*sessions + len(scenarios) - 1) / len(scenarios)
	fmt.Println(header)
	var group synthetic.Group
	var pooled, pooledThreshold tally
	for _, sc := range scenarios {
		if !strings.Contains(sc.Name, *only) {
			continue
		}
		if sc.Group != group && group != "" {
			fmt.Println(row("= "+string(group), pooled))
			fmt.Println(row("    threshold", pooledThreshold))
			pooled, pooledThreshold = tally{}, tally{}
		}
		group = sc.Group
		var one tally
		for k := range each {
			session := sc.Session(*first + uint64(k))
			in := session.Input()
			spans := confirmed(bouts.Find(in, bouts.DefaultSettings()))
			before := one
			one.add(session, in, spans)
			pooled.add(session, in, spans)
			pooledThreshold.add(session, in, threshold(in))
			if *misses && wrong(before, one) {
				explain(os.Stdout, session, in)
			}
		}
		fmt.Println(row(sc.Name, one))
	}
	fmt.Println(row("= "+string(group), pooled))
	fmt.Println(row("    threshold", pooledThreshold))
}

// confirmed keeps the bouts that count.
func confirmed(found []bouts.Bout) []span {
	var spans []span
	for _, b := range found {
		if b.Confidence == bouts.Confirmed {
			spans = append(spans, span{b.Start, b.End, b.StartHalf, b.EndHalf})
		}
	}
	return spans
}

const header = "scenario                                        sess  bouts recall  prec  whole  edge50  edge95 cover  mean95 qtr50 pace  alarm"

func row(name string, t tally) string {
	return fmt.Sprintf("%-46s %5d %6d %6.1f %5.1f %6.1f %7.2f %7.2f %5.1f %7.2f %5.2f %5.1f %5.1f", name, t.sessions, t.truth,
		share(t.matched, t.truth), share(t.matched, t.found), share(t.whole, t.matched),
		quantile(t.errors, 0.5), quantile(t.errors, 0.95), share(t.covered, len(t.errors)),
		quantile(t.meanErrors, 0.95), quantile(t.quarters, 0.5), share(t.paced, t.pacedOf), share(t.falseAlarms, t.sessions))
}

// wrong tells whether a session added a miss or a false bout.
func wrong(before, after tally) bool {
	return after.truth-before.truth != after.matched-before.matched || after.found-before.found != after.matched-before.matched
}

// explain prints what was true and what was found in one session.
func explain(w *os.File, session synthetic.Session, in bouts.Input) {
	fmt.Fprintf(w, "  %s seed %d, %d s\n    true ", session.Scenario, session.Seed, len(in.Values))
	for _, t := range session.Truth {
		fmt.Fprintf(w, " %.0f-%.0f(%.0f)", t.Start, t.End, t.Mean)
	}
	fmt.Fprintf(w, "\n    found")
	for _, b := range bouts.Find(in, bouts.DefaultSettings()) {
		fmt.Fprintf(w, " %.0f-%.0f(%.0f)%s%.2f", b.Start, b.End, meanOver(in.Values, b.Start, b.End), b.Confidence[:1], b.Score)
	}
	fmt.Fprintln(w)
}
