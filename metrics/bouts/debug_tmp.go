package bouts

import "fmt"

func Trace(in Input) {
	s := DefaultSettings()
	ps := []series{prepare(in, s)}
	if in.Signal == HeartRate {
		ps[0] = demandOf(ps[0])
	} else if q, any := ps[0].withoutStops(longestStop(in.Signal, s)); any {
		ps = append(ps, q)
	}
	for r, p := range ps {
		f := newFit(p)
		ww := outputWeights
		if in.Signal == HeartRate {
			ww = rateWeights
		}
		fd := finder{fit: f, weights: ww, settings: s, taken: make([]bool, f.blocks.n), explained: make([]bool, f.blocks.n)}
		fd.all = f.candidates(s)
		fmt.Println(" reading", r, "steps", len(f.steps), "cands", len(fd.all), "top", f.top, "cv30", f.noise/30, "V", f.noise)
		for _, st := range f.coarse {
			fmt.Printf("%d-%d:%.0f ", st.a*2, st.b*2, st.mean)
		}
		if len(fd.all) < 0 {
			for _, c := range fd.all {
				fmt.Printf("   cand %d-%d L%.0f %.0f %.0f z%.1f\n", c.a*2, c.b*2, c.level, c.left, c.right, c.z)
			}
		}
		for range 4 {
			best, bw := chain{}, -1e9
			for _, t := range fd.templates() {
				c := fd.chain(t)
				if len(c.members) < 2 || c.evidence < leastEvidence {
					continue
				}
				if w := evidenceShare*c.evidence + min(sureOdds, fd.weights.odds(fd.describe(c, fd.above(t)))); w > bw {
					best, bw = c, w
				}
			}
			if len(best.members) < 2 {
				break
			}
			x := fd.describe(best, fd.above(best.pattern))
			fmt.Printf("   set ev %.1f score %.2f %+v\n      ", best.evidence, fd.weights.odds(x), x)
			for _, k := range best.members {
				fmt.Printf("%d-%d(%.0f) ", fd.all[k].a*2, fd.all[k].b*2, fd.all[k].level)
			}
			fmt.Println()
			fd.take(best, fd.weights.odds(x) > 0)
		}
	}
}
