package coach

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"boutwise/metrics"
	"boutwise/pipeline/tables"
)

// year is a source's.
var year = regexp.MustCompile(`\b(19|20)\d\d\b`)

// TestEveryFinding raises each finding by its name. Whatever is found says how
// it is judged and by what source or that there is none, quotes figure and
// limit, and has its name in the data dictionary.
func TestEveryFinding(t *testing.T) {
	interval := config{prescriptions: prescribe(1, "base,2,40,,,") + prescribe(1, "intervals,1,45,4,180,180")}
	medicated := config{client: "c1,A,1980,female,yes"}
	long := func(week, day int, minutes float64) SessionView {
		return session(week, day).but(func(s *tables.Session) { s.RecordedS = 60 * minutes })
	}
	still := intervals(1, 2).each(func(b *tables.Bout) { b.HRRecovery60, b.RecoveryOutput = num(9), num(0) })
	weak := append(weekly(1, 3, session, 0, 2, 4), session(4, 0).but(func(s *tables.Session) { s.MeanPower = num(80) }))
	hard := intervals(1, 2).each(func(b *tables.Bout) { b.NearMaxHR = num(60) })
	tests := map[string]struct {
		config   config
		sessions []SessionView
	}{
		FastStart:       {config{}, []SessionView{pace(intervals(1, 2), 4, metrics.FastStart)}},
		Faded:           {config{}, []SessionView{pace(intervals(1, 2), 4, metrics.Fade)}},
		Uneven:          {config{}, []SessionView{pace(intervals(1, 2), 4, metrics.Uneven)}},
		RecoveryShort:   {config{}, []SessionView{intervals(1, 2).each(func(b *tables.Bout) { b.Recovery = num(60) })}},
		RecoveryHard:    {config{}, []SessionView{intervals(1, 2).each(func(b *tables.Bout) { b.RecoveryOutput = num(90) })}},
		TooFewIntervals: {interval, []SessionView{session(1, 0)}},
		TooManyInterval: {interval, []SessionView{intervals(1, 0), intervals(1, 3)}},
		TooClose:        {config{}, []SessionView{intervals(1, 1), intervals(1, 2)}},
		BaseAboveBand:   {config{}, []SessionView{session(1, 0).at(metrics.Count{Value: 150, Seconds: 2400})}},
		WeeklyJump:      {config{}, append(weekly(1, 4, session, 0, 2), long(5, 0, 160))},
		SilentClient:    {config{}, []SessionView{session(1, 0)}},
		AboveMaxHR:      {config{}, []SessionView{intervals(1, 2).at(metrics.Count{Value: 190, Seconds: 30})}},
		LowHRRecovery:   {config{}, []SessionView{still}},
		OutputDrop:      {config{}, weak},
		SensorTrouble:   {config{}, []SessionView{locked(session(1, 0), 80)}},
		SparseRecording: {config{}, []SessionView{session(1, 0).but(func(s *tables.Session) { s.SilentS = s.RecordedS })}},
		ExertionHigh:    {config{}, []SessionView{session(1, 0).but(func(s *tables.Session) { s.RatedExertion = num(8) })}},
		ExertionLow:     {config{}, []SessionView{hard.but(func(s *tables.Session) { s.RatedExertion = num(2) })}},
		NoHRVerdict:     {medicated, []SessionView{session(1, 0)}},
		SharedExport:    {config{}, []SessionView{shared(session(1, 0), "c7", "c9")}},
	}
	names := meaningOf(t, tables.Findings, "finding")
	for name, tt := range tests {
		found := reviewed(t, tt.config, on(6, 6), tt.sessions...).named(name)
		if len(found) == 0 {
			t.Errorf("%s: not found", name)
			continue
		}
		f := found[0]
		if !strings.Contains(f.Method, noSource) && !year.MatchString(f.Method) {
			t.Errorf("%s: method without a source: %q", name, f.Method)
		}
		if name != NoHRVerdict && (f.Value == nil || f.Limit == nil) {
			t.Errorf("%s: no figure or no limit: %+v", name, f)
		}
		if !slices.Contains([]string{Urgent, Soon, Note}, f.Severity) || f.Message == "" || strings.ContainsAny(f.Message, "\n") {
			t.Errorf("%s: %+v", name, f)
		}
		if !slices.Contains(names, name) {
			t.Errorf("%s is not in the dictionary", name)
		}
	}
	for _, name := range names {
		if _, tested := tests[name]; !tested && strings.Contains(name, "_") {
			t.Errorf("the dictionary names %s, which nothing raises here", name)
		}
	}
}

// TestSuggestionsAreInTheDictionary: an analyst finds every name there.
func TestSuggestionsAreInTheDictionary(t *testing.T) {
	names := meaningOf(t, tables.Progresses, "suggestion")
	for _, name := range []string{Hold, LongerBase, AnotherBaseDay, BeginBursts, BeginIntervals, OneMoreRound, LongerBouts, ShorterBouts, EaseBack, RetestCapacity} {
		if !slices.Contains(names, name) {
			t.Errorf("%s is not in the dictionary", name)
		}
	}
	states := meaningOf(t, tables.Answers, "state")
	for _, name := range []string{Answered, Due, Missed, Extra} {
		if !slices.Contains(states, name) {
			t.Errorf("%s is not in the dictionary", name)
		}
	}
}

// meaningOf gives the words of a column's entry in the data dictionary.
func meaningOf(t *testing.T, table *tables.Table, column string) []string {
	t.Helper()
	for _, c := range table.Columns {
		if c.Name == column {
			return strings.FieldsFunc(c.Meaning, func(r rune) bool { return strings.ContainsRune(" ,.:;()", r) })
		}
	}
	t.Fatalf("%s has no column %s", table.Name, column)
	return nil
}
