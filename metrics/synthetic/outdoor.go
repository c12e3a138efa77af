package synthetic

import (
	"math"
	"math/rand/v2"

	"boutwise/metrics"
	"boutwise/metrics/bouts"
)

// outdoor is a ride with a power meter in which a set was done on the road.
func outdoor(draw set) func(*rand.Rand) Session {
	return func(rng *rand.Rand) Session {
		c := anyone(rng)
		p := structured(rng, draw, c.power)
		return ridden(rng, c, p, between(rng, 0.002, 0.012))
	}
}

// ridden takes a plan onto ground of the given hilliness.
func ridden(rng *rand.Rand, c client, p plan, hilliness float64) Session {
	planned := p.render(between(rng, 2, 8))
	n := len(planned)
	ground := hills(rng, n, hilliness, between(rng, 40, 200), between(rng, 5, 9))
	done := road(rng).ride(rng, planned, within(p, n), ground)
	session := recorded(rng, c, p, done)
	if chance(rng, 0.8) {
		session.Samples.Altitude = session.altitudes(ground)
	}
	return session
}

// altitudes reads the ground at the samples' times.
func (s Session) altitudes(ground terrain) []float64 {
	out := make([]float64, len(s.Samples.Time))
	for k, t := range s.Samples.Time {
		out[k] = round(ground.altitude[t], 0.2)
	}
	return out
}

// hillRepeats are climbs of the same hill with the way down between: rounds
// whose length varies a little and whose recovery is mostly coasted.
func hillRepeats(rng *rand.Rand) Session {
	c := anyone(rng)
	work := between(rng, 150, 420)
	rest := work * between(rng, 0.6, 1.1)
	pr := same(3+rng.IntN(4), work, rest, between(rng, 0.05, 0.3)).sloppy(rng, 0.05, 0.06)
	warm := c.power * between(rng, 0.4, 0.6)
	p := plan{}.hold(easy, between(rng, 600, 1800), warm).add(rng, pr, c.power)
	p = p.hold(easy, between(rng, 300, 1200), warm)
	planned := p.render(between(rng, 2, 8))
	ground := hills(rng, len(planned), 0.004, 100, 5)
	climb(&ground, p.spans(bout), between(rng, 0.03, 0.08))
	r := road(rng)
	r.perGrade = 0
	session := recorded(rng, c, p, r.ride(rng, planned, within(p, len(planned)), ground))
	session.Samples.Altitude = session.altitudes(ground)
	return session
}

// climb lays the same hill under every bout: up during it, and down to where
// it began before the next.
func climb(ground *terrain, spans [][2]float64, grade float64) {
	const speed = 4 // m/s, uphill
	at := 0
	for k, span := range spans {
		at = max(at, int(span[0]))
		gain := grade * speed * (span[1] - span[0])
		for ; at < int(span[1]); at++ {
			ground.altitude[at] += gain * (float64(at) - span[0]) / (span[1] - span[0])
		}
		down := span[1] + 120
		if k+1 < len(spans) {
			down = spans[k+1][0]
		}
		for ; at < min(int(down), len(ground.altitude)); at++ {
			ground.altitude[at] += gain * (down - float64(at)) / (down - span[1])
		}
	}
}

// busyBlocks are two or three blocks in a ride that is ridden briskly
// throughout, with some minutes almost as hard on the way to them.
func busyBlocks(rng *rand.Rand) Session {
	c := anyone(rng)
	brisk := c.power * between(rng, 0.6, 0.92)
	p := plan{}.ramp(between(rng, 120, 600), 0.5*brisk, brisk).hold(easy, between(rng, 200, 1200), brisk)
	p = p.hold(opener, between(rng, 120, 420), c.power*between(rng, 0.8, 0.95)).hold(easy, between(rng, 60, 300), 0.4*c.power)
	pr := pick(rng, same(2, 1200, 0, 0), same(2, 900, 0, 0), same(3, 600, 0, 0))
	rest := between(rng, 120, 400)
	pr.rest = func(int) float64 { return rest }
	pr.recovery = between(rng, 0.3, 0.6)
	p = p.add(rng, pr.sloppy(rng, 0.01, 0.02), c.power)
	p = p.hold(easy, between(rng, 200, 900), c.power*between(rng, 0.4, 0.75))
	return ridden(rng, c, p, between(rng, 0.002, 0.012))
}

// positions is a run of which only the positions were recorded.
func positions(rng *rand.Rand) Session {
	c := anyone(rng)
	draw := pick[set](rng, longSet, longSet, blockSet, burstSet)
	p := structured(rng, draw, c.speed)
	noise := AR1{SD: between(rng, 0.02, 0.06), TimeConstant: between(rng, 2, 12)}
	done := steady(rng, p.render(between(rng, 2, 5)), noise)
	s := positioned(rng, done, between(rng, 1, 4), between(rng, 0.05, 0.35), pick(rng, 1, 1, 3, 6))
	return Session{Truth: truth(p, done), Done: done, Samples: s}
}

// steadyTrainer is a base session: warm-up, one level, cool-down, perhaps with
// a break or a stretch or two of standing up.
func steadyTrainer(rng *rand.Rand) Session {
	c := anyone(rng)
	base := c.power * between(rng, 0.5, 0.75)
	p := plan{}.ramp(between(rng, 120, 600), base*between(rng, 0.5, 0.9), base)
	for range 1 + rng.IntN(3) {
		p = p.hold(easy, between(rng, 600, 1800), base*between(rng, 0.97, 1.03))
		if chance(rng, 0.3) {
			p = p.hold(easy, between(rng, 5, 40), base*pick(rng, 0, 0.5, 1.15))
		}
	}
	p = p.ramp(between(rng, 60, 400), base*0.9, base*between(rng, 0.4, 0.7))
	return recorded(rng, c, p, indoors(rng, p, 3))
}

// progressive is a session whose output rises slowly, in a line or in steps,
// as in a graded warm-up or an unhurried test.
func progressive(rng *rand.Rand) Session {
	c := anyone(rng)
	from, to := c.power*between(rng, 0.3, 0.5), c.power*between(rng, 0.65, 0.9)
	var p plan
	if chance(rng, 0.5) {
		p = p.ramp(between(rng, 1500, 4200), from, to)
	} else {
		steps := 3 + rng.IntN(6)
		for i := range steps {
			p = p.hold(easy, between(rng, 180, 600), from+(to-from)*float64(i)/float64(steps-1))
		}
	}
	p = p.ramp(between(rng, 120, 400), to*0.7, from)
	return recorded(rng, c, p, indoors(rng, p, 3))
}

// easyRun is an easy run with stops at lights and crossings, recorded or
// paused, by a speed sensor or by positions.
func easyRun(rng *rand.Rand) Session {
	c := anyone(rng)
	base := c.speed * between(rng, 0.65, 0.85)
	var p plan
	pause := chance(rng, 0.5)
	for range 3 + rng.IntN(8) {
		p = p.hold(easy, between(rng, 90, 900), base*between(rng, 0.95, 1.05))
		if pause {
			p = p.hold(stopped, between(rng, 12, 120), 0)
		} else {
			p = p.hold(easy, between(rng, 5, 90), 0)
		}
	}
	p = p.hold(easy, between(rng, 300, 900), base)
	noise := AR1{SD: between(rng, 0.02, 0.06), TimeConstant: between(rng, 2, 12)}
	done := steady(rng, p.render(3), noise)
	s := everySecond(done, 0.01)
	if chance(rng, 0.5) {
		s = positioned(rng, done, between(rng, 1, 4), between(rng, 0.05, 0.35), 1)
	}
	return Session{Done: done, Samples: s.paused(rng, p.spans(stopped), 2)}
}

// trailRun is a run over hills without lights or laps: slower up and faster
// down, walking where it is steep, standing to look around. Its signal is the
// speed, from a sensor or from positions, or the oxygen cost, from positions and
// altitude.
func trailRun(signal bouts.Signal) func(*rand.Rand) Session {
	return func(rng *rand.Rand) Session {
		c := anyone(rng)
		base := c.speed * between(rng, 0.7, 0.95)
		n := int(between(rng, 1500, 6000))
		ground := hills(rng, n, between(rng, 0.02, 0.1), between(rng, 60, 250), base)
		var p plan
		for p.seconds() < float64(n) {
			p = p.hold(easy, between(rng, 60, 1200), base*between(rng, 0.85, 1.15))
			if chance(rng, 0.6) {
				p = p.hold(easy, between(rng, 5, 120), pick(rng, 0, 0, 0.3*base))
			}
		}
		done := p.render(3)[:n]
		perGrade := between(rng, 2, 5)
		walks := between(rng, 0.06, 0.15) // grade from which it is walked
		for i, v := range done {
			v *= 1 - perGrade*min(0.1, max(-0.06, ground.grade[i]))
			if ground.grade[i] > walks {
				v = min(v, 1.3)
			}
			done[i] = v
		}
		done = steady(rng, done, AR1{SD: between(rng, 0.04, 0.12), TimeConstant: between(rng, 3, 20)})
		if signal == bouts.Speed && chance(rng, 0.5) {
			session := Session{Done: done, Samples: everySecond(done, 0.01)}
			session.Samples.Altitude = session.altitudes(ground)
			return session
		}
		return located(rng, done, ground)
	}
}

// located is a run of which positions and altitude were recorded.
func located(rng *rand.Rand, speed []float64, ground terrain) Session {
	session := Session{Done: speed, Samples: positioned(rng, speed, between(rng, 1, 4), between(rng, 0.05, 0.35), pick(rng, 1, 1, 3, 6))}
	session.Samples.Altitude = session.altitudes(ground)
	return session
}

// hillyRounds is a set run over gentle hills at an even cost, by positions and
// altitude.
func hillyRounds(rng *rand.Rand) Session {
	c := anyone(rng)
	cost := metrics.RunningCost(max(2.4, c.speed), 0)
	recovery := between(rng, 0.5, 0.7)
	pr := longRounds(rng, recovery)
	p := warmUp(rng, cost, recovery).add(rng, pr, cost).coolDown(rng, cost, recovery)
	planned := p.render(between(rng, 2, 5))
	done := steady(rng, planned, AR1{SD: between(rng, 0.02, 0.06), TimeConstant: between(rng, 2, 12)})
	ground := hills(rng, len(done), between(rng, 0.002, 0.015), between(rng, 60, 250), 3)
	speed := make([]float64, len(done))
	for i, v := range done {
		// The equation's own slope uphill; downhill less is gained than uphill
		// is lost.
		rise := max(-0.3*math.Abs(ground.grade[i]), ground.grade[i])
		speed[i] = max(0, v-metrics.RestingVO2) / (metrics.RunningCost(1, 100*rise) - metrics.RestingVO2)
	}
	session := located(rng, speed, ground)
	session.Done, session.Truth = done, truth(p, done)
	return session
}

// townRide is a ride through streets: the output comes in surges of some ten
// seconds to some minutes between corners, lights and other people.
func townRide(rng *rand.Rand) Session {
	c := anyone(rng)
	return ridden(rng, c, streets(rng, c), 0.004)
}

// streets is the plan of a ride through them.
func streets(rng *rand.Rand, c client) plan {
	level := c.power * between(rng, 0.5, 0.85)
	ragged := between(rng, 0.15, 0.4)
	var p plan
	for p.seconds() < 1800+3600*rng.Float64() {
		p = p.hold(easy, between(rng, 10, 240), level*max(0.2, 1+ragged*rng.NormFloat64()))
		if chance(rng, 0.5) {
			p = p.hold(easy, between(rng, 5, 60), pick(rng, 0, 0.3*level))
		}
	}
	return p
}

// mountainRide goes over one to four long climbs, ridden evenly because they are
// even, with a way down after each on which hardly anything is put out.
func mountainRide(rng *rand.Rand) Session {
	c := anyone(rng)
	gentle := c.power * between(rng, 0.4, 0.65)
	p := plan{}.hold(easy, between(rng, 600, 2400), gentle)
	var climbs [][2]float64
	for range 1 + rng.IntN(4) {
		up := between(rng, 300, 2300)
		climbs = append(climbs, [2]float64{p.seconds(), p.seconds() + up})
		p = p.hold(easy, up, c.power*between(rng, 0.75, 0.95))
		p = p.hold(easy, up*between(rng, 0.3, 0.6), gentle*between(rng, 0, 0.4)).hold(easy, between(rng, 60, 1200), gentle)
	}
	planned := p.render(between(rng, 2, 8))
	ground := hills(rng, len(planned), 0.004, 100, 5)
	climb(&ground, climbs, between(rng, 0.04, 0.09))
	r := road(rng)
	r.loose, r.perGrade = between(rng, 0.6, 1.2), 0.02
	session := recorded(rng, c, p, r.ride(rng, planned, make([]float64, len(planned)), ground))
	session.Samples.Altitude = session.altitudes(ground)
	return session
}

// raggedRate is a ride through streets, or over steep hills, of which only the
// heart rate was recorded.
func raggedRate(rng *rand.Rand) Session {
	c := anyone(rng)
	p, steep := streets(rng, c), 0.004
	if chance(rng, 0.5) {
		p, steep = wandering(rng, c.power*between(rng, 0.5, 0.8)), between(rng, 0.02, 0.05)
	}
	planned := p.render(4)
	ground := hills(rng, len(planned), steep, between(rng, 60, 250), 6)
	done := road(rng).ride(rng, planned, make([]float64, len(planned)), ground)
	return byRate(rng, c, p, done)
}

// wandering is a ride as it comes: an easy level that changes every few
// minutes with company, wind and mood.
func wandering(rng *rand.Rand, level float64) plan {
	p := plan{}.hold(easy, between(rng, 120, 600), level*0.8)
	for p.seconds() < 2400+3600*rng.Float64() {
		p = p.hold(easy, between(rng, 120, 1200), level*between(rng, 0.85, 1.15))
	}
	return p.hold(easy, between(rng, 120, 600), level*0.8)
}

// roadRide is an unstructured ride, on ground of the given hilliness; some
// have a stop for coffee.
func roadRide(hilliness float64) func(*rand.Rand) Session {
	return func(rng *rand.Rand) Session {
		c := anyone(rng)
		level := c.power * between(rng, 0.5, 0.75)
		p := wandering(rng, level)
		if chance(rng, 0.3) {
			p = p.hold(pick(rng, stopped, easy), between(rng, 300, 1500), 0)
			p = append(p, wandering(rng, level)...)
		}
		return ridden(rng, c, p, hilliness*between(rng, 0.5, 1.5))
	}
}

// commute is a ride through town: lights, each with a standstill and a push
// away from it.
func commute(rng *rand.Rand) Session {
	c := anyone(rng)
	level := c.power * between(rng, 0.5, 0.75)
	var p plan
	pause := chance(rng, 0.4)
	for range 5 + rng.IntN(15) {
		p = p.hold(easy, between(rng, 3, 12), level*between(rng, 1.2, 1.8))
		p = p.hold(easy, between(rng, 40, 500), level*between(rng, 0.85, 1.15))
		if pause {
			p = p.hold(stopped, between(rng, 15, 100), 0)
		} else {
			p = p.hold(easy, between(rng, 10, 90), 0)
		}
	}
	p = p.hold(easy, 120, level)
	return ridden(rng, c, p, 0.006)
}

// steadyRate is a base session of which only the heart rate was recorded: it
// rises at first and drifts.
func steadyRate(rng *rand.Rand) Session {
	c := anyone(rng)
	c.kinetics.DriftPerHour = between(rng, 0, 25)
	base := c.power * between(rng, 0.45, 0.75)
	p := plan{}.ramp(between(rng, 60, 400), base*0.6, base)
	p = p.hold(easy, between(rng, 1200, 4200), base).ramp(between(rng, 60, 300), base, base*0.5)
	return byRate(rng, c, p, indoors(rng, p, 3))
}

// outdoorRate is an unstructured ride of which only the heart rate was
// recorded.
func outdoorRate(rng *rand.Rand) Session {
	c := anyone(rng)
	p := wandering(rng, c.power*between(rng, 0.5, 0.75))
	planned := p.render(4)
	ground := hills(rng, len(planned), between(rng, 0.002, 0.015), 90, 7)
	done := road(rng).ride(rng, planned, make([]float64, len(planned)), ground)
	return byRate(rng, c, p, done)
}
