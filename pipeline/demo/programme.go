package demo

import (
	"math"
	"math/rand/v2"
	"time"

	"boutwise/pipeline/practice"
)

// step is a prescription from the Monday of a week on, until the next step of
// the same kind. With perWeek 0 it ends what was asked before.
type step struct {
	week       int
	kind       practice.SessionKind
	perWeek    int
	minutes    float64
	rounds     int
	work, rest float64 // s, each round

	// trials replaces equal rounds by maximal efforts of these lengths in
	// seconds: one list a session of the week.
	trials [][]float64
}

// prescription is the step as the coach writes it down.
func (s step) prescription(id string, cal calendar) practice.Prescription {
	p := practice.Prescription{
		Client: id, EffectiveFrom: cal.day(s.week, 0), Session: s.kind, PerWeek: s.perWeek,
		Minutes: math.NaN(), Rounds: s.rounds, WorkS: math.NaN(), RecoveryS: math.NaN(),
	}
	if s.minutes > 0 {
		p.Minutes = s.minutes
	}
	if s.work > 0 {
		p.WorkS, p.RecoveryS = s.work, s.rest
	}
	return p
}

// happening is something that befalls one session or its export.
type happening string

// What happens to some sessions.
const (
	extraIntervals happening = "extra interval session"
	dropouts       happening = "strap dropouts"
	frozen         happening = "strap frozen"
	cadenceLocked  happening = "heart rate locked to cadence"
	exportedTwice  happening = "exported twice"
	twoFormats     happening = "exported in two formats"
	cutInHalf      happening = "export cut in half"
	emptyFile      happening = "an empty file beside it"
	textFile       happening = "a text file beside it"
)

// event places a happening: on the week's session with that number (from 0),
// or on a weekday for a session that no one asked for.
type event struct {
	week, slot, weekday int
	what                happening
}

// outing is one session to be done.
type outing struct {
	step
	week   int
	start  time.Time
	number int // of its kind, from 0: a client's first interval session, say
	trial  []float64
	what   happening
}

// weekdays spreads a number of sessions over the week, 0 being Monday.
var weekdays = map[int][]int{2: {1, 4}, 3: {0, 2, 5}, 4: {0, 2, 4, 6}}

// startJitter is how much earlier or later than their habit clients begin, in
// seconds.
const startJitter = 25 * 60

// outings lists all of a client's sessions in the order in which they happen.
func (c client) outings(cal calendar, rng *rand.Rand) []outing {
	var all []outing
	done := map[practice.SessionKind]int{}
	add := func(week, weekday int, s step, what happening) {
		second := c.habits.early + rng.IntN(2*startJitter) - startJitter
		o := outing{step: s, week: week, start: cal.at(week, weekday, second), number: done[s.kind], what: what}
		if s.trials != nil {
			o.trial = s.trials[o.number%len(s.trials)]
		}
		done[s.kind]++
		all = append(all, o)
	}
	for week := 1; week <= c.weeks(); week++ {
		order := c.order(week)
		days := weekdays[len(order)]
		for slot, s := range order {
			add(week, days[slot], s, c.happens(week, slot))
			if extra, ok := c.extra(week); ok && s.kind == practice.Intervals {
				add(week, extra.weekday, s, extra.what)
			}
		}
	}
	return all
}

// weeks is how many weeks the client takes part.
func (c client) weeks() int {
	if c.lastWeek > 0 {
		return c.lastWeek
	}
	return Weeks
}

// order lays out a week's sessions: intervals second or, when there are two,
// first and third, bursts last, base in between.
func (c client) order(week int) []step {
	base := c.inForce(week, practice.Base)
	bursts := c.inForce(week, practice.BaseWithBursts)
	intervals := c.inForce(week, practice.Intervals)
	n := base.perWeek + bursts.perWeek + intervals.perWeek
	order := make([]step, n)
	for i := range order {
		switch {
		case intervals.perWeek == 1 && i == 1, intervals.perWeek == 2 && (i == 0 || i == 2):
			order[i] = intervals
		case bursts.perWeek > 0 && i >= n-bursts.perWeek:
			order[i] = bursts
		default:
			order[i] = base
		}
	}
	return order
}

// inForce is the latest step of a kind; the zero step when there is none.
func (c client) inForce(week int, kind practice.SessionKind) step {
	var last step
	for _, s := range c.steps {
		if s.kind == kind && s.week <= week {
			last = s
		}
	}
	return last
}

// happens looks up what befalls a session; "" for nothing.
func (c client) happens(week, slot int) happening {
	for _, e := range c.events {
		if e.week == week && e.slot == slot && e.what != extraIntervals {
			return e.what
		}
	}
	return ""
}

// extra is the session of the week that no one asked for, if there is one.
func (c client) extra(week int) (event, bool) {
	for _, e := range c.events {
		if e.week == week && e.what == extraIntervals {
			return e, true
		}
	}
	return event{}, false
}
