package synthetic

import (
	"math/rand/v2"

	"boutwise/metrics/bouts"
)

// Scenario is one kind of session.
type Scenario struct {
	Name   string
	Group  Group
	Signal bouts.Signal
	invent func(*rand.Rand) Session
}

// Group says which demands a scenario is measured against.
type Group string

// The groups, in the order in which tables list them.
const (
	Indoor        Group = "indoor, pace, treadmill grade"
	LowContrast   Group = "contrast of 15 to 30 %"
	Sparse        Group = "recorded every 1 to 8 s"
	Faded         Group = "fast start or fade, moderate"
	FadedHard     Group = "fast start or fade, hard"
	TestDay       Group = "unlike maximal efforts"
	Outdoor       Group = "outdoor power, regular"
	OutdoorLoose  Group = "outdoor power, irregular"
	OutdoorBursts Group = "outdoor power, 5 x 1 min"
	OutdoorBlocks Group = "outdoor power, 2 x 20 min and other blocks"
	Positions     Group = "running by positions"
	CostOutdoors  Group = "running by positions and altitude"
	RateOnly      Group = "heart rate only"
	NoneSteady    Group = "no bouts: steady, progressive, easy with stops"
	NoneOutdoor   Group = "no bouts: outdoor"
	NoneHilly     Group = "no bouts: hilly"
	NoneRate      Group = "no bouts: heart rate only"
)

// HasBouts is false for the groups in which nothing is to be found.
func (g Group) HasBouts() bool {
	return g != NoneSteady && g != NoneOutdoor && g != NoneHilly && g != NoneRate
}

// Session invents the session of a seed.
func (s Scenario) Session(seed uint64) Session {
	// The name keeps scenarios apart that share a seed.
	stream := uint64(14695981039346656037) // FNV-1a
	for _, b := range []byte(s.Name) {
		stream = (stream ^ uint64(b)) * 1099511628211
	}
	session := s.invent(NewRand(seed, stream))
	session.Scenario, session.Seed, session.Signal = s.Name, seed, s.Signal
	return session
}

// Scenarios returns every kind of session, in the order in which tables list
// them.
func Scenarios() []Scenario {
	return []Scenario{
		{"trainer rounds", Indoor, bouts.Power, trainer(longSet)},
		{"trainer rounds, stopped", Indoor, bouts.Power, trainer(stoppedSet)},
		{"trainer bursts", Indoor, bouts.Power, trainer(burstSet)},
		{"trainer 20/10", Indoor, bouts.Power, trainer(twentyTen)},
		{"trainer 30/30", Indoor, bouts.Power, trainer(thirtyThirty)},
		{"trainer blocks", Indoor, bouts.Power, trainer(blockSet)},
		{"trainer unequal", Indoor, bouts.Power, trainer(unequalSet)},
		{"trainer lone block", Indoor, bouts.Power, trainer(loneBlock)},
		{"trainer burst and set", Indoor, bouts.Power, trainer(twoSets)},
		{"pace rounds", Indoor, bouts.Speed, pace},
		{"treadmill grade", Indoor, bouts.OxygenCost, treadmillGrade},
		{"low contrast", LowContrast, bouts.Power, trainer(lowContrast)},
		{"sparse", Sparse, bouts.Power, sparsely},
		{"on change", Sparse, bouts.Power, changesOnly},
		{"faded", Faded, bouts.Power, trainer(faded(0.05, 0.15, 0.16))},
		{"faded hard", FadedHard, bouts.Power, trainer(faded(0.15, 0.35, 0.35))},
		{"trainer test day", TestDay, bouts.Power, testDay(bouts.Power)},
		{"pace test day", TestDay, bouts.Speed, testDay(bouts.Speed)},
		{"outdoor rounds", Outdoor, bouts.Power, outdoor(outdoorSet)},
		{"outdoor irregular", OutdoorLoose, bouts.Power, outdoor(irregularSet)},
		{"outdoor hill repeats", OutdoorLoose, bouts.Power, hillRepeats},
		{"outdoor bursts", OutdoorBursts, bouts.Power, outdoor(burstSet)},
		{"outdoor blocks", OutdoorBlocks, bouts.Power, outdoor(twentyMinutes)},
		{"outdoor long rounds", OutdoorBlocks, bouts.Power, outdoor(blockSet)},
		{"outdoor blocks, busy", OutdoorBlocks, bouts.Power, busyBlocks},
		{"run by positions", Positions, bouts.Speed, positions},
		{"run over hills by cost", CostOutdoors, bouts.OxygenCost, hillyRounds},
		{"rate rounds", RateOnly, bouts.HeartRate, rateOnly(longSet)},
		{"rate bursts", RateOnly, bouts.HeartRate, rateOnly(burstSet)},
		{"rate blocks", RateOnly, bouts.HeartRate, rateOnly(blockSet)},
		{"rate unequal", RateOnly, bouts.HeartRate, rateOnly(unequalSet)},
		{"none: trainer steady", NoneSteady, bouts.Power, steadyTrainer},
		{"none: progressive", NoneSteady, bouts.Power, progressive},
		{"none: easy run with stops", NoneSteady, bouts.Speed, easyRun},
		{"none: road", NoneOutdoor, bouts.Power, roadRide(0.012)},
		{"none: commute", NoneOutdoor, bouts.Power, commute},
		{"none: town", NoneOutdoor, bouts.Power, townRide},
		{"none: hilly", NoneHilly, bouts.Power, roadRide(0.035)},
		{"none: mountain", NoneHilly, bouts.Power, mountainRide},
		{"none: trail run", NoneHilly, bouts.Speed, trailRun(bouts.Speed)},
		{"none: trail run by cost", NoneHilly, bouts.OxygenCost, trailRun(bouts.OxygenCost)},
		{"none: rate steady", NoneRate, bouts.HeartRate, steadyRate},
		{"none: rate outdoors", NoneRate, bouts.HeartRate, outdoorRate},
		{"none: rate, ragged", NoneRate, bouts.HeartRate, raggedRate},
	}
}

// set draws the middle of a session and the recovery level that the rest of
// it goes by.
type set func(*rand.Rand) (protocol, float64)

func longSet(rng *rand.Rand) (protocol, float64) {
	recovery := pick(rng, 0, between(rng, 0.2, 0.5), between(rng, 0.5, 0.68))
	p := longRounds(rng, recovery)
	p.dip = 0.2
	if recovery == 0 {
		// Standing about between rounds, not in the warm-up.
		recovery = between(rng, 0.4, 0.6)
	}
	if chance(rng, 0.4) {
		// Not every client has a trainer that counts for them.
		p = p.sloppy(rng, 0.02, 0.02)
	}
	return p, recovery
}

func stoppedSet(rng *rand.Rand) (protocol, float64) {
	p := pick(rng, longRounds(rng, 0), longRounds(rng, 0), minuteBursts(0))
	p.stopped = true
	return p.sloppy(rng, 0.02, 0.02), 0.5
}

func burstSet(rng *rand.Rand) (protocol, float64) {
	recovery := between(rng, 0.3, 0.65)
	return minuteBursts(recovery).sloppy(rng, pick(rng, 0, 0.03), pick(rng, 0, 0.03)), recovery
}

func twentyTen(rng *rand.Rand) (protocol, float64) {
	recovery := pick(rng, 0, 0, between(rng, 0.2, 0.5))
	return same(8, 20, 10, recovery), max(recovery, 0.4)
}

func thirtyThirty(rng *rand.Rand) (protocol, float64) {
	recovery := between(rng, 0.3, 0.6)
	return same(8+rng.IntN(17), 30, 30, recovery), recovery
}

func blockSet(rng *rand.Rand) (protocol, float64) {
	recovery := between(rng, 0.3, 0.65)
	return blocks(rng, recovery), recovery
}

func loneBlock(rng *rand.Rand) (protocol, float64) {
	recovery := between(rng, 0.3, 0.6)
	return same(1, pick(rng, 600.0, 720, 900), 0, recovery), recovery
}

func unequalSet(rng *rand.Rand) (protocol, float64) {
	recovery := between(rng, 0.3, 0.62)
	return unequalRounds(rng, recovery), recovery
}

// twoSets are four rounds of four minutes and then five harder bursts.
func twoSets(rng *rand.Rand) (protocol, float64) {
	recovery := between(rng, 0.35, 0.6)
	p := same(4, 240, 180, recovery)
	p.rounds = 4 + 5
	p.work = func(i int) float64 { return pickRound(i, 240, 60) }
	p.rest = func(i int) float64 {
		if i == 3 {
			return 300
		}
		return pickRound(i, 180, 60)
	}
	p.level = func(i int) float64 { return pickRound(i, 1, 1.2) }
	return p, recovery
}

// pickRound gives the first four rounds one value and the others another.
func pickRound(i int, first, later float64) float64 {
	if i < 4 {
		return first
	}
	return later
}

func lowContrast(rng *rand.Rand) (protocol, float64) {
	recovery := 1 / (1 + between(rng, 0.15, 0.30))
	return longRounds(rng, recovery), recovery
}

// faded draws a fast start between least and most above, or a fade up to
// most, or both.
func faded(least, mostStart, mostFade float64) set {
	return func(rng *rand.Rand) (protocol, float64) {
		recovery := between(rng, 0.3, 0.6)
		p := longRounds(rng, recovery)
		start, fall := between(rng, least, mostStart), between(rng, least, mostFade)
		form := pick(rng, fastStart(start), fade(fall), lateFade(fall), fade(-fall),
			both(fastStart(start), fade(fall)), wave(fall/3, between(rng, 1, 3)))
		p.shape = func(int) shape { return form }
		return p, recovery
	}
}

func outdoorSet(rng *rand.Rand) (protocol, float64) {
	recovery := between(rng, 0.3, 0.6)
	return longRounds(rng, recovery).sloppy(rng, 0.02, 0.03), recovery
}

func irregularSet(rng *rand.Rand) (protocol, float64) {
	recovery := between(rng, 0.3, 0.6)
	p := longRounds(rng, recovery)
	return p.sloppy(rng, between(rng, 0.08, 0.3), between(rng, 0.03, 0.08)), recovery
}

func twentyMinutes(rng *rand.Rand) (protocol, float64) {
	recovery := between(rng, 0.35, 0.65)
	return same(2, 1200, pick(rng, 150.0, 300, 600), recovery).sloppy(rng, 0.01, 0.02), recovery
}
