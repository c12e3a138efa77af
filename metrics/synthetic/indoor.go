package synthetic

import (
	"math/rand/v2"

	"boutwise/metrics"
	"boutwise/metrics/bouts"
)

// structured lays a set into a session: warm-up or base, the set, cool-down.
func structured(rng *rand.Rand, draw set, level float64) plan {
	pr, recovery := draw(rng)
	p := warmUp(rng, level, recovery)
	if pr.work(0) <= 75 && chance(rng, 0.6) {
		// Bursts mostly end a base session.
		base := level * min(recovery+0.05, between(rng, 0.5, 0.68))
		p = p.hold(easy, between(rng, 600, 2400), base)
	}
	return p.add(rng, pr, level).coolDown(rng, level, recovery)
}

// trainer is a session on a stationary trainer or ergometer, by power.
func trainer(draw set) func(*rand.Rand) Session {
	return func(rng *rand.Rand) Session {
		c := anyone(rng)
		p := structured(rng, draw, c.power)
		done := indoors(rng, p, pick(rng, 0.5, 1, 2, 3))
		return recorded(rng, c, p, done)
	}
}

// indoors is a plan with ramps and the unevenness of a client on a trainer.
func indoors(rng *rand.Rand, p plan, edge float64) []float64 {
	noise := AR1{SD: between(rng, 0.03, 0.08), TimeConstant: between(rng, 1, 8)}
	return steady(rng, p.render(edge), noise)
}

// recorded is a session by power, with a strap in most cases.
func recorded(rng *rand.Rand, c client, p plan, done []float64) Session {
	s := everySecond(done, 1)
	if chance(rng, 0.8) {
		s.HeartRate = wear(rng).read(rng, c.heart(done, c.power))
	}
	return Session{Truth: truth(p, done), Done: done, Samples: s.paused(rng, p.spans(stopped), 2)}
}

// testDay is a day of two to four maximal efforts of different length with
// long easy recovery, from which a critical power or speed is read: what can be
// held falls with its length, towards the level that lasts (Monod and Scherrer
// 1965).
func testDay(signal bouts.Signal) func(*rand.Rand) Session {
	return func(rng *rand.Rand) Session {
		c := anyone(rng)
		lasting, reserve := c.power, between(rng, 25, 120) // s at the lasting level
		if signal == bouts.Speed {
			lasting, reserve = c.speed, between(rng, 15, 50)
		}
		lengths := pick(rng, []float64{180, 720}, []float64{150, 560}, []float64{240, 390}, []float64{180, 420, 900},
			[]float64{120, 300, 600}, []float64{180, 1200}, []float64{720, 180}, []float64{120, 180, 360, 720})
		gentle := lasting * between(rng, 0.35, 0.6)
		p := warmUp(rng, lasting, gentle/lasting)
		for i, seconds := range lengths {
			if i > 0 {
				p = p.hold(easy, between(rng, 480, 1800), gentle)
			}
			seconds *= between(rng, 0.9, 1.1)
			form := pick(rng, even, even, fastStart(between(rng, 0, 0.15)), fade(between(rng, -0.1, 0.1)))
			p = p.work(seconds, lasting*(1+reserve/seconds)*between(rng, 0.97, 1.03), form)
		}
		p = p.coolDown(rng, lasting, gentle/lasting)
		noise := AR1{SD: between(rng, 0.02, 0.08), TimeConstant: between(rng, 1, 8)}
		if signal == bouts.Speed {
			noise = AR1{SD: between(rng, 0.01, 0.05), TimeConstant: between(rng, 1, 10)}
			done := steady(rng, p.render(between(rng, 2, 6)), noise)
			s := everySecond(done, 0.01)
			s.HeartRate = wear(rng).read(rng, c.heart(done, lasting))
			return Session{Truth: truth(p, done), Done: done, Samples: s}
		}
		return recorded(rng, c, p, steady(rng, p.render(pick(rng, 0.5, 1, 2, 3)), noise))
	}
}

// sparsely is a device that writes every 1 to 8 seconds, at random.
func sparsely(rng *rand.Rand) Session {
	session := trainer(longSet)(rng)
	session.Samples = session.Samples.sparse(rng, 8)
	return session
}

// changesOnly is a device that writes when something changed.
func changesOnly(rng *rand.Rand) Session {
	session := trainer(longSet)(rng)
	session.Samples = session.Samples.onChange(between(rng, 0.03, 0.08), 2+rng.IntN(7))
	return session
}

// pace is a run by a speed sensor or on a treadmill that reports its belt.
func pace(rng *rand.Rand) Session {
	c := anyone(rng)
	draw := pick[set](rng, longSet, longSet, burstSet, thirtyThirty, blockSet, unequalSet)
	p := structured(rng, draw, c.speed)
	noise := AR1{SD: between(rng, 0.01, 0.05), TimeConstant: between(rng, 1, 10)}
	done := steady(rng, p.render(between(rng, 2, 6)), noise)
	s := everySecond(done, 0.01)
	s.HeartRate = wear(rng).read(rng, c.heart(done, c.speed))
	return Session{Truth: truth(p, done), Done: done, Samples: s}
}

// treadmillGrade is a walk at constant speed in which only the incline
// changes, in steps of half a percent.
func treadmillGrade(rng *rand.Rand) Session {
	c := anyone(rng)
	speed := round(between(rng, 1.1, 1.6), 0.01)
	steep := round(between(rng, 6, 14), 0.5)
	flat := round(between(rng, 0, steep*0.3), 0.5)
	cost := func(grade float64) float64 { return metrics.WalkingCost(speed, grade) }
	draw := func(rng *rand.Rand) (protocol, float64) {
		recovery := cost(flat) / cost(steep)
		if chance(rng, 0.3) {
			return minuteBursts(recovery), recovery
		}
		return longRounds(rng, recovery), recovery
	}
	p := structured(rng, draw, cost(steep))
	// The deck takes some ten seconds to tilt; the belt is all but constant.
	done := steady(rng, p.render(between(rng, 4, 12)), AR1{SD: between(rng, 0.001, 0.02), TimeConstant: 3})
	s := everySecond(make([]float64, len(done)), 0)
	s.Grade = make([]float64, len(done))
	for i, v := range done {
		// What the grade must be for the cost that was done, never downhill.
		s.Value[i] = speed
		s.Grade[i] = round(max(0, (v-cost(0))/(cost(1)-cost(0))), 0.1)
		done[i] = cost(s.Grade[i])
	}
	s.HeartRate = wear(rng).read(rng, c.heart(done, cost(steep)))
	return Session{Truth: truth(p, done), Done: done, Samples: s}
}

// rateOnly is a session of which only the heart rate was recorded.
func rateOnly(draw set) func(*rand.Rand) Session {
	return func(rng *rand.Rand) Session {
		c := anyone(rng)
		p := structured(rng, draw, c.power)
		done := indoors(rng, p, 2)
		return byRate(rng, c, p, done)
	}
}

// byRate keeps only the heart rate of a session.
func byRate(rng *rand.Rand, c client, p plan, done []float64) Session {
	rate := c.heart(done, c.power)
	s := everySecond(wear(rng).read(rng, rate), 1)
	return Session{Truth: truth(p, rate), Done: rate, Samples: s}
}
