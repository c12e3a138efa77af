package bouts_test

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"boutwise/metrics/bouts"
	"boutwise/metrics/synthetic"
)

func TestDump(t *testing.T) {
	if os.Getenv("DUMP") == "" {
		t.Skip()
	}
	w, _ := os.Create(map[bool]string{true: "/tmp/featrate.csv", false: "/tmp/feat.csv"}[os.Getenv("RATE") != ""])
	defer w.Close()
	fmt.Fprintln(w, "scenario,group,seed,reading,evidence,regular,rounds,outside,contrast,overlap,easy,typical,clear,sharp,uneven,work,restRatio,climbing,lights,match,n,truth")
	for _, sc := range synthetic.Scenarios() {
		if (sc.Signal == bouts.HeartRate) != (os.Getenv("RATE") != "") {
			continue
		}
		for seed := uint64(1000); seed < 1060+uint64(len(os.Getenv("RATE")))*100; seed++ {
			se := sc.Session(seed)
			for _, l := range bouts.Dump(se.Input(), func(spans [][2]float64) string {
				m := 0
				for _, s := range spans {
					for _, tr := range se.Truth {
						sh := min(tr.End, s[1]) - max(tr.Start, s[0])
						if sh > 0.5*(max(tr.End, s[1])-min(tr.Start, s[0])) {
							m++
						}
					}
				}
				return fmt.Sprintf("%d,%d,%d", m, len(spans), len(se.Truth))
			}) {
				fmt.Fprintf(w, "\"%s\",\"%s\",%d,%s\n", sc.Name, sc.Group, seed, l)
			}
		}
	}
}

func TestODDS(t *testing.T) {
	if os.Getenv("DUMP") == "" {
		t.Skip()
	}
	for _, sc := range synthetic.Scenarios() {
		if sc.Group.HasBouts() || !strings.Contains(sc.Name, os.Getenv("DUMP")) {
			continue
		}
		for seed := uint64(1); seed < 151; seed++ {
			in := sc.Session(seed).Input()
			for _, b := range bouts.Find(in, bouts.DefaultSettings()) {
				if b.Confidence == bouts.Confirmed {
					fmt.Println(sc.Name, seed, len(in.Values), b.Score)
					bouts.Trace(in)
					break
				}
			}
		}
	}
}

func TestDumpLone(t *testing.T) {
	if os.Getenv("DUMP") == "" {
		t.Skip()
	}
	w, _ := os.Create("/tmp/lone.csv")
	defer w.Close()
	fmt.Fprintln(w, "scenario,group,seed,reading,evidence,regular,rounds,outside,contrast,overlap,easy,typical,clear,sharp,uneven,work,restRatio,climbing,lights,match,n,truth")
	for _, sc := range synthetic.Scenarios() {
		if sc.Signal == bouts.HeartRate {
			continue
		}
		for seed := uint64(1000); seed < 1060; seed++ {
			se := sc.Session(seed)
			for _, l := range bouts.DumpLone(se.Input(), func(spans [][2]float64) string {
				m := 0
				for _, s := range spans {
					for _, tr := range se.Truth {
						sh := min(tr.End, s[1]) - max(tr.Start, s[0])
						if sh > 0.5*(max(tr.End, s[1])-min(tr.Start, s[0])) {
							m++
						}
					}
				}
				return fmt.Sprintf("%d,%d,%d", m, len(spans), len(se.Truth))
			}) {
				fmt.Fprintf(w, "\"%s\",\"%s\",%d,%s\n", sc.Name, sc.Group, seed, l)
			}
		}
	}
}
