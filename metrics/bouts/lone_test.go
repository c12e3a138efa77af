package bouts_test

import (
	"fmt"
	"math"
	"os"
	"testing"

	"boutwise/metrics/synthetic"
)

func TestLoneDbg(t *testing.T) {
	if os.Getenv("DUMP") == "" {
		t.Skip()
	}
	for _, sc := range synthetic.Scenarios() {
		if sc.Name != "outdoor rounds" {
			continue
		}
		for seed := uint64(1); seed < 16; seed++ {
			se := sc.Session(seed)
			v := se.Input().Values[int(se.Truth[0].Start)+5 : int(se.Truth[0].End)-5]
			st := func(k int) float64 {
				var x []float64
				for i := 0; i+k <= len(v); i += k {
					m := 0.0
					for _, a := range v[i : i+k] {
						m += a / float64(k)
					}
					x = append(x, m)
				}
				m, q := 0.0, 0.0
				for _, a := range x {
					m += a / float64(len(x))
				}
				for _, a := range x {
					q += (a - m) * (a - m) / float64(len(x)-1)
				}
				return math.Sqrt(q) / m
			}
			fmt.Printf("gen cv1 %.3f cv5 %.3f cv10 %.3f cv30 %.3f cv60 %.3f\n", st(1), st(5), st(10), st(30), st(60))
		}
	}
}
