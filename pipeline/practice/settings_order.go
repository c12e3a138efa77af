package practice

import "fmt"

// inOrder pairs settings of which the first must not exceed the second, and
// says why.
var inOrder = []struct {
	low, high string // keys
	of        func(*Settings) (low, high float64)
	why       string
}{
	{"kinds.interval_from_s", "kinds.interval_to_s", func(s *Settings) (low, high float64) { return s.Kinds.IntervalFrom, s.Kinds.IntervalTo },
		"no bout would be an interval"},
	{"progress.longest_bout_s", "kinds.interval_to_s", func(s *Settings) (low, high float64) { return s.Progress.LongestBoutS, s.Kinds.IntervalTo },
		"a longer bout would be no interval"},
	{"progress.first_rounds", "progress.most_rounds", func(s *Settings) (low, high float64) {
		return float64(s.Progress.FirstRounds), float64(s.Progress.MostRounds)
	}, "intervals would begin with more rounds than they may end with"},
	{"capacity.min_s", "capacity.max_s", func(s *Settings) (low, high float64) { return s.Capacity.MinSeconds, s.Capacity.MaxSeconds },
		"no bout would count"},
	{"limits.earliest_year", "limits.latest_year", func(s *Settings) (low, high float64) {
		return float64(s.Limits.EarliestYear), float64(s.Limits.LatestYear)
	}, "every date would be doubtful"},
}

// checkOrder reports the pairs that are the wrong way round, at the line of the
// one that was written down. read holds the lines of the settings taken from
// the file: where neither was, both have their defaults.
func (l *loader) checkOrder(read map[string]int) {
	for _, pair := range inOrder {
		low, high := pair.of(&l.p.Settings)
		if low <= high {
			continue
		}
		at := pair.high
		if read[at] == 0 {
			at = pair.low
		}
		l.report(Problem{settingsFile, read[at], at,
			fmt.Sprintf("%s %s is above %s %s: %s", pair.low, brief(low), pair.high, brief(high), pair.why),
			"lower the one or raise the other"})
	}
}
