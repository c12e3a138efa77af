package coach

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"boutwise/metrics"
	"boutwise/pipeline/tables"
)

// season is twelve weeks of a client with something of everything.
func season() []SessionView {
	return append(append(weekly(1, 12, session, 0, 5), weekly(1, 6, bursts, 2)...),
		weekly(7, 12, func(w, d int) SessionView { return pace(intervals(w, d), w%3, metrics.FastStart) }, 2)...)
}

// TestReviewIsPure: the order of the sessions does not matter, they are left
// as they were, and what comes after the day is not seen.
func TestReviewIsPure(t *testing.T) {
	c := config{prescriptions: prescribe(1, "base,2,40,,,") + prescribe(1, "base_with_bursts,1,40,5,60,60") +
		prescribe(7, "base_with_bursts,0,,,,") + prescribe(7, "intervals,1,40,4,180,180")}
	sessions := season()
	p := c.practice(t)
	for i := range sessions {
		sessions[i].Facts = p.FactsOn("c1", sessions[i].Session.LocalDate)
	}
	want := Review(p, "c1", sessions, on(9, 6))
	if len(want.Weeks) != 9 || len(want.Findings) == 0 || len(want.Capacities) == 0 {
		t.Fatalf("the season shows too little: %+v", want)
	}
	shuffled := append([]SessionView(nil), sessions...)
	rng := rand.New(rand.NewPCG(1, 2))
	for range 5 {
		rng.Shuffle(len(shuffled), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
		before := append([]SessionView(nil), shuffled...)
		if diff := cmp.Diff(want, Review(p, "c1", shuffled, on(9, 6)), cmpopts.EquateNaNs()); diff != "" {
			t.Fatal(diff)
		}
		if diff := cmp.Diff(before, shuffled, cmpopts.EquateNaNs()); diff != "" {
			t.Fatal(diff)
		}
	}
	early := Review(p, "c1", sessions[:len(sessions)-1], on(9, 6)) // leaves week 12 out
	if diff := cmp.Diff(want, early, cmpopts.EquateNaNs()); diff != "" {
		t.Errorf("a session after the day was seen:\n%s", diff)
	}
}

// TestNoSessions: a client who was asked to train and never has is silent, too.
func TestNoSessions(t *testing.T) {
	asked := config{prescriptions: prescribe(1, "base,3,40,,,")}
	r := reviewed(t, asked, on(2, 2))
	if len(r.Weeks) != 0 || len(r.Findings) != 0 || len(r.Capacities) != 0 || len(r.Progress) != 1 {
		t.Errorf("9 days after the first prescription: %+v", r)
	}
	if got := reviewed(t, asked, on(2, 3)).named(SilentClient); len(got) != 1 || got[0].Date != on(2, 3) {
		t.Errorf("10 days after the first prescription: %+v", got)
	}
	if got := reviewed(t, config{}, on(9, 0)).Findings; len(got) != 0 {
		t.Errorf("of whom nothing is asked: %+v", got)
	}
}

// TestNothingKnown: a client of whom there is only an inbox.
func TestNothingKnown(t *testing.T) {
	p := config{}.practice(t)
	v := session(1, 0)
	v.Facts = p.FactsOn("stranger", v.Session.LocalDate)
	r := Review(p, "stranger", []SessionView{v}, on(1, 6))
	if len(r.Findings) != 0 || len(r.Weeks) != 1 || r.Weeks[0].ModerateMinutes != nil || r.Weeks[0].Prescribed != nil {
		t.Errorf("%+v", r)
	}
	if r.Progress[0].Suggestion != Hold {
		t.Errorf("%+v", r.Progress)
	}
}

// TestMessagesQuoteEvidence: a finding's sentence holds a figure, and nothing
// unprintable.
func TestMessagesQuoteEvidence(t *testing.T) {
	r := reviewed(t, config{}, on(12, 6), season()...)
	checkWords(t, r)
	for _, f := range r.Findings {
		if !strings.ContainsAny(f.Message, "0123456789") {
			t.Errorf("%s: %q", f.Finding, f.Message)
		}
	}
}

// TestNoInfiniteColumn: what is no number is missing.
func TestNoInfiniteColumn(t *testing.T) {
	for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if got := tables.Num(x); got != nil {
			t.Errorf("%v is told as %v", x, *got)
		}
	}
}

// BenchmarkReview reviews a client of 500 sessions, four bouts in each that is
// not base work. The heart rates are spread as they are in real sessions.
func BenchmarkReview(b *testing.B) {
	var rates metrics.Counts
	for bpm := 75.0; bpm < 170; bpm++ {
		rates = append(rates, metrics.Count{Value: bpm, Seconds: 25})
	}
	var sessions []SessionView
	for week := 1; len(sessions) < 500; week++ {
		for _, v := range []SessionView{session(week, 0), bursts(week, 1), intervals(week, 3), bursts(week, 5)} {
			v.Bouts = v.Bouts[:min(4, len(v.Bouts))]
			sessions = append(sessions, v.at(rates...))
		}
	}
	p := config{prescriptions: prescribe(1, "base,1,40,,,") + prescribe(1, "base_with_bursts,2,40,4,60,60") + prescribe(1, "intervals,1,40,4,180,180")}.practice(b)
	for i := range sessions {
		sessions[i].Facts = p.FactsOn("c1", sessions[i].Session.LocalDate)
	}
	asOf := sessions[len(sessions)-1].Session.LocalDate
	b.ReportAllocs()
	for b.Loop() {
		Review(p, "c1", sessions, asOf)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(len(sessions)), "ns/session")
}
