package synthetic

import "math/rand/v2"

// protocol is the middle of a session: which bouts, with what between them.
type protocol struct {
	rounds   int
	work     func(i int) float64 // s, of round i
	rest     func(i int) float64 // s, after round i
	level    func(i int) float64 // of round i, as a multiple of the work level
	shape    func(i int) shape
	recovery float64 // level of the recoveries, as a multiple of the work level
	stopped  bool    // recoveries with the recording stopped
	dip      float64 // chance that a recovery starts with some seconds of nothing
}

// same is the usual protocol: equal rounds, held evenly, rest as long as
// rest times the work.
func same(rounds int, work, rest, recovery float64) protocol {
	return protocol{
		rounds:   rounds,
		work:     func(int) float64 { return work },
		rest:     func(int) float64 { return rest },
		level:    func(int) float64 { return 1 },
		shape:    func(int) shape { return even },
		recovery: recovery,
	}
}

// sloppy makes a protocol as a client without a programmed trainer does it:
// durations and levels vary from round to round by the given shares, drawn
// once.
func (p protocol) sloppy(rng *rand.Rand, duration, level float64) protocol {
	work, rest, height := make([]float64, p.rounds), make([]float64, p.rounds), make([]float64, p.rounds)
	for i := range work {
		work[i] = p.work(i) * max(0.3, 1+duration*rng.NormFloat64())
		rest[i] = p.rest(i) * max(0.3, 1+1.5*duration*rng.NormFloat64())
		height[i] = p.level(i) * (1 + level*rng.NormFloat64())
	}
	p.work = func(i int) float64 { return work[i] }
	p.rest = func(i int) float64 { return rest[i] }
	p.level = func(i int) float64 { return height[i] }
	return p
}

// longRounds is the weekly prescription: 3 to 8 minutes, four to eight times,
// with as much easy recovery.
func longRounds(rng *rand.Rand, recovery float64) protocol {
	work := pick(rng, 180.0, 210, 240, 270, 300, 360, 420, 480)
	// Keep the longest sessions within what a client would do at home.
	rounds := 4 + rng.IntN(5)
	for rounds > 4 && float64(rounds)*work > 40*60 {
		rounds--
	}
	return same(rounds, work, work*pick(rng, 1, 1, 1, 0.75, 0.5), recovery)
}

// minuteBursts is the prescription that comes before: five times one minute.
func minuteBursts(recovery float64) protocol { return same(5, 60, 60, recovery) }

// unequalRounds are pyramids, ladders and rounds of falling level: a set all
// the same.
func unequalRounds(rng *rand.Rand, recovery float64) protocol {
	ladder := pick(rng,
		[]float64{1, 2, 3, 4, 3, 2, 1},
		[]float64{2, 3, 4, 5},
		[]float64{5, 4, 3, 2, 1},
		[]float64{3, 3, 5, 5, 3},
		[]float64{4, 2, 4, 2, 4})
	step := pick(rng, 0, 0.03, -0.03) // of level, a round
	p := same(len(ladder), 0, 0, recovery)
	p.work = func(i int) float64 { return 60 * ladder[i] }
	equal := chance(rng, 0.5)
	p.rest = func(i int) float64 {
		if equal {
			return 60 * ladder[i]
		}
		return 120
	}
	p.level = func(i int) float64 { return 1 + step*float64(i) }
	return p
}

// blocks are one to three long bouts of 10 to 20 minutes.
func blocks(rng *rand.Rand, recovery float64) protocol {
	work := pick(rng, 600.0, 720, 900, 1200)
	rounds := 2 + rng.IntN(2)
	if work >= 900 {
		rounds = 2
	}
	return same(rounds, work, pick(rng, 180.0, 300, 600), recovery)
}

// add appends the protocol at a work level to a plan. The last recovery is
// left to what follows unless the recording was stopped, which it is only
// between rounds.
func (p plan) add(rng *rand.Rand, pr protocol, level float64) plan {
	for i := range pr.rounds {
		p = p.work(pr.work(i), level*pr.level(i), pr.shape(i))
		if i == pr.rounds-1 {
			break
		}
		rest := pr.rest(i)
		switch {
		case pr.stopped:
			p = p.hold(stopped, max(20, rest), 0)
		case chance(rng, pr.dip) && rest > 60:
			// Many clients stop pedalling or stand still at first.
			dip := between(rng, 5, 25)
			p = p.hold(easy, dip, 0.1*level).hold(easy, rest-dip, level*pr.recovery)
		default:
			p = p.hold(easy, rest, level*pr.recovery)
		}
	}
	return p
}

// warmUp is 4 to 20 minutes before the bouts, none of it above top, a
// multiple of the work level; openers are the exception.
func warmUp(rng *rand.Rand, level, recovery float64) plan {
	seconds := between(rng, 240, 1200)
	lo := level * min(recovery, between(rng, 0.35, 0.6))
	hi := level * min(recovery+0.1, between(rng, 0.5, 0.75))
	hi = max(hi, lo)
	switch rng.IntN(5) {
	case 0: // steady
		return plan{}.hold(easy, seconds, hi)
	case 1: // ramp
		return plan{}.ramp(seconds, lo, hi)
	case 2: // steps
		var p plan
		steps := 3 + rng.IntN(3)
		for i := range steps {
			p = p.hold(easy, seconds/float64(steps), lo+(hi-lo)*float64(i)/float64(steps-1))
		}
		return p
	case 3: // steady, short sharp openers, easy again
		p := plan{}.hold(easy, seconds*0.6, hi)
		on, off := between(rng, 8, 25), between(rng, 40, 90)
		for range 1 + rng.IntN(3) {
			p = p.hold(opener, on, level*between(rng, 0.95, 1.4)).hold(easy, off, lo)
		}
		return p.hold(easy, between(rng, 60, 240), lo)
	default: // ramp with one longer opener, easy again
		p := plan{}.ramp(seconds*0.7, lo, hi)
		p = p.hold(opener, between(rng, 30, 75), level*between(rng, 0.9, 1.05))
		return p.hold(easy, between(rng, 120, 300), lo)
	}
}

// coolDown is 2 to 12 minutes after the last bout.
func (p plan) coolDown(rng *rand.Rand, level, recovery float64) plan {
	seconds := between(rng, 120, 720)
	hi := level * min(recovery, between(rng, 0.4, 0.65))
	lo := level * min(recovery, between(rng, 0.25, 0.4))
	switch rng.IntN(3) {
	case 0:
		return p.hold(easy, seconds, lo)
	case 1:
		return p.ramp(seconds, hi, lo)
	default:
		for i := range 3 {
			p = p.hold(easy, seconds/3, hi+(lo-hi)*float64(i)/2)
		}
		return p
	}
}
