package bouts

import "fmt"

func Trace(in Input) {
	s := DefaultSettings()
	ps := []series{prepare(in, s)}
	w := outputWeights
	if in.Signal == HeartRate {
		ps[0] = demandOf(ps[0])
		w = rateWeights
	} else if q, any := ps[0].withoutStops(longestStop(in.Signal, s)); any {
		ps = append(ps, q)
	}
	for r, p := range ps {
		f := newFit(p)
		fd := newFinder(f, w, in.Altitude, s)
		fmt.Println(" reading", r, "steps", len(f.steps), "cands", len(fd.all), "top", f.top, "cv30", f.noise/30, "V", f.noise)
		for i, c := range fd.chains(fd.templates()) {
			if i > 2 {
				break
			}
			x := fd.describe(c)
			fmt.Printf("   set ev %.1f score %.2f %+v\n      ", c.evidence, fd.weights.odds(x), x)
			for _, k := range c.members {
				fmt.Printf("%d-%d(%.0f) ", fd.all[k].a*2, fd.all[k].b*2, fd.all[k].level)
			}
			fmt.Println()
		}
	}
}
