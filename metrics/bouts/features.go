package bouts

import "math"

// features is what the acceptance of a chain, or of a lone bout, rests on.
// None depends on unit or client.
type features struct {
	regular   float64 // evidence of the chain, a link
	rounds    float64 // how many bouts
	outside   float64 // work as hard that is not in the chain, as a share of that in it
	contrast  float64 // of the bouts over what is next to them and over their rests, as a share of their level
	moving    float64 // contrast over the rests without their standstills, where much is left of them
	overlap   float64 // share of the time within bouts that looks like rest
	easy      float64 // share of the session ridden more easily than the bouts, stops apart
	typical   float64 // s, median bout
	clear     float64 // contrast over noise in a bout of median length, in standard errors
	sharp     float64 // share of the rise that takes place within seconds of the edges
	uneven    float64 // spread of half minutes within bouts, over the contrast
	work      float64 // share of the session in bouts
	durations float64 // spread of the logarithms of the bouts' lengths
	rests     float64 // the same of the rests between them
	lights    float64 // share of the rests that look like traffic lights
	open      bool    // the first bout begins with the session
	climbing  float64 // how far the bouts are just the climbs of a hilly ride, 0 to 1
}

// describe measures a chain.
func (fd *finder) describe(c chain) features {
	t := c.pattern
	hard := fd.above(t.limit())
	n := len(c.members)
	x := features{rounds: float64(n)}
	var seconds, zs, lengths, rests []float64
	in, below, sharp, level, low := 0.0, 0.0, 0.0, 0.0, 0.0
	for i, k := range c.members {
		m := &fd.all[k]
		in += m.seconds
		below += m.seconds - hard.between(m.a, m.b)
		seconds, zs, lengths = append(seconds, m.seconds), append(zs, m.z), append(lengths, m.logSeconds)
		level += m.level / float64(n)
		low += max(m.left, m.right) / float64(n)
		sharp += fd.sharpness(m) / float64(n)
		if i > 0 {
			rests = append(rests, logOf(m.a-fd.all[c.members[i-1]].b))
		}
	}
	x.regular = c.regular / float64(max(1, n-1))
	x.outside = fd.elsewhere(c) / in
	x.contrast = 1 - max(low, fd.restLevel(c.members))/level
	x.moving = 1 - fd.movingRest(c.members, level)/level
	x.overlap = below / in
	x.easy, x.work = fd.shares(t, in)
	x.typical, x.clear = medianOf(seconds), medianOf(zs)
	x.durations, x.rests = deviation(lengths), deviation(rests)
	x.lights = fd.lights(c)
	x.open = fd.all[c.members[0]].open()
	x.sharp = sharp
	x.uneven = fd.unevenness(c) / max(level-low, 1e-9*level)
	x.climbing = fd.climbing(c)
	return x
}

// elsewhere is the work about as hard as a chain's that is in no confirmed set
// and not in the chain, in seconds: from the limit of what is work up to the
// pattern's level it counts for ever more.
func (fd *finder) elsewhere(c chain) float64 {
	limit, sum, next := c.pattern.limit(), 0.0, 0
	for _, st := range fd.steps {
		if st.mean <= limit {
			continue
		}
		seconds := fd.unexplained(st.a, st.b)
		for next < len(c.members) && fd.all[c.members[next]].b <= st.a {
			next++
		}
		for k := next; k < len(c.members) && fd.all[c.members[k]].a < st.b; k++ {
			m := &fd.all[c.members[k]]
			seconds -= fd.unexplained(max(st.a, m.a), min(st.b, m.b))
		}
		sum += seconds * pass(st.mean, limit, c.pattern.level)
	}
	return sum
}

// restLevel is the mean level between the members, 0 when there is only one.
func (fd *finder) restLevel(members []int) float64 {
	sum, weight := 0.0, 0.0
	for i, k := range members[1:] {
		a, b := fd.all[members[i]].b, fd.all[k].a
		seconds := float64(b - a)
		sum += seconds * fd.flank(a, b)
		weight += seconds
	}
	if weight == 0 {
		return 0
	}
	return sum / weight
}

// mostStill is the share of the rests that may be standstills and still leave
// enough of them to tell at what level the client moves.
const mostStill = 0.7

// movingRest is the level between the members without standstills, 0 when the
// rests are mostly that: of an easy session with stops it is the level of the
// bouts themselves.
func (fd *finder) movingRest(members []int, level float64) float64 {
	sum, moving, total := 0.0, 0.0, 0.0
	for i, k := range members[1:] {
		a, b := fd.all[members[i]].b, fd.all[k].a
		total += float64(b - a)
		for at := a; at < b; {
			st := fd.steps[fd.stepOf[at]]
			end := min(b, st.b)
			if st.mean > standstillLevel*level {
				sum += float64(end-at) * st.mean
				moving += float64(end - at)
			}
			at = end
		}
	}
	if moving <= (1-mostStill)*total {
		return 0
	}
	return sum / moving
}

// rises are the shares of a candidate's rise and of its fall that happen
// within ten seconds of its edges.
func (fd *finder) rises(m *candidate) (start, end float64) {
	reach := 10 / fd.size
	rise := fd.flank(m.a, m.a+reach) - fd.flank(m.a-reach, m.a)
	fall := fd.flank(m.b-reach, m.b) - fd.flank(m.b, m.b+reach)
	return rise / (m.level - m.left), fall / (m.level - m.right)
}

// sharpness is the mean of both.
func (fd *finder) sharpness(m *candidate) float64 {
	start, end := fd.rises(m)
	return (start + end) / 2
}

// bluntest is the lesser of both.
func (fd *finder) bluntest(m *candidate) float64 {
	return min(fd.rises(m))
}

// easyLevel is the share of a set's level below which any riding is easy.
const easyLevel = 0.75

// shares returns the share of the moving session that was easier than the
// pattern's work, and the share of work.
func (fd *finder) shares(t pattern, in float64) (easy, work float64) {
	total, gentle := 0.0, 0.0
	steps := fd.steps
	if fd.coarse != nil {
		// Dips of a noisy output are no easy work.
		steps = fd.coarse
	}
	for _, st := range steps {
		d := float64((st.b - st.a) * fd.size)
		if st.mean < 0.1*t.level {
			continue
		}
		total += d
		if st.mean < max(t.limit(), easyLevel*t.level) {
			gentle += d
		}
	}
	return gentle / total, in / total
}

// standstillLevel is the share of the bouts' level up to which a rest is a
// standstill, with what positions and slow stops add to none, and movingLevel
// from which on it is none. A standstill that is short beside the work before it
// is like waiting at lights, or a stop for a drink: it breaks an easy session up
// and makes no set of it.
const standstillLevel, movingLevel = 0.3, 0.5

// lights returns how far a chain's rests look like waiting at lights, 0 to 1.
func (fd *finder) lights(c chain) float64 {
	sum := 0.0
	for i, k := range c.members[1:] {
		p, m := fd.all[c.members[i]], fd.all[k]
		rest := float64((m.a - p.b) * fd.size)
		sum += pass(fd.flank(p.b, m.a)/c.pattern.level, movingLevel, standstillLevel) * pass(rest/p.seconds, 0.8, 0.4)
	}
	return sum / float64(max(1, len(c.members)-1))
}

// unevenness is the standard deviation of half-minute means around their
// bout's mean.
func (fd *finder) unevenness(c chain) float64 {
	sum, n := 0.0, 0.0
	for _, k := range c.members {
		m := fd.all[k]
		piece := int(min(30, m.seconds/2)) / fd.size
		for i := m.a; i+piece <= m.b; i += piece {
			d := fd.flank(i, i+piece) - m.level
			sum += d * d
			n++
		}
	}
	return math.Sqrt(sum / n)
}
