package bouts_test

import (
	"fmt"
	"os"
	"testing"

	"boutwise/metrics/bouts"
	"boutwise/metrics/synthetic"
)

func TestLoneDbg(t *testing.T) {
	if os.Getenv("DUMP") == "" {
		t.Skip()
	}
	for _, sc := range synthetic.Scenarios() {
		if sc.Name != "trainer lone block" {
			continue
		}
		for _, seed := range []uint64{10, 17, 25, 33, 49} {
			se := sc.Session(seed)
			fmt.Println(seed, se.Truth[0].Start, se.Truth[0].End)
			for _, l := range bouts.DumpLone(se.Input(), func(s [][2]float64) string { return fmt.Sprint(s) }) {
				fmt.Println("  ", l)
			}
		}
	}
}
