package bouts_test

import (
	"math"
	"slices"
	"testing"

	"boutwise/metrics/bouts"
	"boutwise/metrics/synthetic"
)

// score counts what was found of some sessions of one group.
type score struct {
	truth, found, matched, sessions, alarms int
	errors                                  []float64
}

// match pairs truth and confirmed bouts that share half of their union.
func (s *score) match(session synthetic.Session, found []bouts.Bout) {
	s.sessions++
	s.truth += len(session.Truth)
	confirmed := 0
	for _, b := range found {
		if b.Confidence != bouts.Confirmed {
			continue
		}
		confirmed++
		for _, truth := range session.Truth {
			shared := min(b.End, truth.End) - max(b.Start, truth.Start)
			if shared >= 0.5*(max(b.End, truth.End)-min(b.Start, truth.Start)) {
				s.matched++
				s.errors = append(s.errors, math.Abs(b.Start-truth.Start), math.Abs(b.End-truth.End))
			}
		}
	}
	s.found += confirmed
	if confirmed > 0 && len(session.Truth) == 0 {
		s.alarms++
	}
}

// TestAccuracyHolds fails when the finder gets worse on a few sessions of
// every kind. The full table, on seeds never used for choosing anything, is
// printed by the command scripts/accuracy; the floors lie a little below it.
func TestAccuracyHolds(t *testing.T) {
	const each = 12
	floors := map[synthetic.Group]struct {
		recall, precision float64 // percent
		median, p95       float64 // s, boundary errors
	}{
		synthetic.Indoor:        {99, 99, 0.2, 0.6},
		synthetic.LowContrast:   {99, 99, 0.4, 2.5},
		synthetic.Sparse:        {99, 99, 0.6, 3},
		synthetic.Faded:         {99, 99, 0.3, 0.6},
		synthetic.FadedHard:     {98, 98, 0.3, 1},
		synthetic.Outdoor:       {98, 98, 1, 7},
		synthetic.OutdoorLoose:  {87, 98, 1, 14},
		synthetic.OutdoorBursts: {94, 96, 1.1, 8},
		synthetic.OutdoorBlocks: {92, 93, 1.1, 50},
		synthetic.TestDay:       {99, 99, 0.2, 0.6},
		synthetic.CostOutdoors:  {98, 98, 1.7, 6},
		synthetic.Positions:     {98, 98, 1, 3},
		synthetic.RateOnly:      {89, 98, 4.2, 10},
	}
	alarms := map[synthetic.Group]float64{ // percent of sessions, at most
		synthetic.NoneSteady: 0, synthetic.NoneOutdoor: 3, synthetic.NoneHilly: 9, synthetic.NoneRate: 3,
	}
	scores := map[synthetic.Group]*score{}
	for _, sc := range synthetic.Scenarios() {
		if scores[sc.Group] == nil {
			scores[sc.Group] = &score{}
		}
		for seed := uint64(5000); seed < 5000+each; seed++ {
			session := sc.Session(seed)
			scores[sc.Group].match(session, find(session.Input()))
		}
	}
	for group, s := range scores {
		if !group.HasBouts() {
			if got := 100 * float64(s.alarms) / float64(s.sessions); got > alarms[group] {
				t.Errorf("%s: a confirmed set in %.1f %% of sessions, at most %v", group, got, alarms[group])
			}
			continue
		}
		want := floors[group]
		slices.Sort(s.errors)
		recall := 100 * float64(s.matched) / float64(s.truth)
		precision := 100 * float64(s.matched) / float64(max(1, s.found))
		if recall < want.recall || precision < want.precision {
			t.Errorf("%s: recall %.1f precision %.1f, at least %v and %v", group, recall, precision, want.recall, want.precision)
		}
		if len(s.errors) == 0 {
			continue
		}
		median, p95 := s.errors[len(s.errors)/2], s.errors[len(s.errors)*95/100]
		if median > want.median || p95 > want.p95 {
			t.Errorf("%s: boundary errors %.2f and %.2f s, at most %v and %v", group, median, p95, want.median, want.p95)
		}
	}
}
