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
		synthetic.Indoor:        {98, 98, 0.3, 1.5},
		synthetic.LowContrast:   {96, 97, 0.8, 8},
		synthetic.Sparse:        {97, 97, 1, 4},
		synthetic.Faded:         {97, 97, 0.3, 1.5},
		synthetic.FadedHard:     {95, 95, 0.5, 5},
		synthetic.Outdoor:       {90, 95, 2.5, 18},
		synthetic.OutdoorLoose:  {80, 93, 2.5, 40},
		synthetic.OutdoorBursts: {65, 93, 2.5, 15},
		synthetic.OutdoorBlocks: {85, 85, 2.5, 110},
		synthetic.TestDay:       {97, 98, 0.3, 1.5},
		synthetic.CostOutdoors:  {97, 97, 2, 8},
		synthetic.Positions:     {95, 97, 1.5, 5},
		synthetic.RateOnly:      {87, 96, 4.5, 14},
	}
	alarms := map[synthetic.Group]float64{ // percent of sessions, at most
		synthetic.NoneSteady: 6, synthetic.NoneOutdoor: 9, synthetic.NoneHilly: 17, synthetic.NoneRate: 9,
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
