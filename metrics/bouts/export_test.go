package bouts

import "fmt"

func Dump(in Input, label func(spans [][2]float64) string) []string {
	s := DefaultSettings()
	s.Suggest = 0.03
	var out []string
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
		fd := finder{fit: f, weights: ww, settings: s, altitude: in.Altitude, taken: make([]bool, f.blocks.n), explained: make([]bool, f.blocks.n)}
		fd.all = f.candidates(s)
		for len(out) < 100 {
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
			var spans [][2]float64
			for _, k := range best.members {
				spans = append(spans, [2]float64{float64(fd.all[k].a * f.size), float64(fd.all[k].b * f.size)})
				for i := fd.all[k].a; i < fd.all[k].b; i++ {
					fd.taken[i] = true
					fd.explained[i] = fd.weights.odds(x) > 0
				}
			}
			out = append(out, fmt.Sprintf("%d,%v,%v,%s", r, best.evidence, fmt.Sprintf("%v,%v,%v,%v,%v,%v,%v,%v,%v,%v,%v,%v,%v,%v", x.regular, x.rounds, x.outside, x.contrast, x.overlap, x.easy, x.typical, x.clear, x.sharp, x.uneven, x.work, x.restRatio, x.climbing, x.lights), label(spans)))
			if len(out) > 6*(r+1) {
				break
			}
		}
	}
	return out
}

func DumpLone(in Input, label func(spans [][2]float64) string) []string {
	s := DefaultSettings()
	p := prepare(in, s)
	f := newFit(p)
	ww := outputWeights
	if in.Signal == HeartRate {
		ww = rateWeights
	}
	fd := finder{fit: f, weights: ww, settings: s, altitude: in.Altitude, taken: make([]bool, f.blocks.n), explained: make([]bool, f.blocks.n)}
	fd.all = f.candidates(s)
	var out []string
	for k, m := range fd.all {
		if m.seconds < 240 {
			continue
		}
		c := chain{members: []int{k}, pattern: pattern{seconds: m.seconds, level: m.level, low: max(m.left, m.right)}}
		x := fd.describe(c, fd.above(c.pattern))
		out = append(out, fmt.Sprintf("0,0,%s,%s", fmt.Sprintf("%v,%v,%v,%v,%v,%v,%v,%v,%v,%v,%v,%v,%v,%v", x.regular, x.rounds, x.outside, x.contrast, x.overlap, x.easy, x.typical, x.clear, x.sharp, x.uneven, x.work, x.restRatio, x.climbing, x.lights), label([][2]float64{{float64(m.a * 2), float64(m.b * 2)}})))
	}
	return out
}
