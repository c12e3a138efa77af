package demo

import (
	"math"
	"slices"
	"testing"
	"time"

	"boutwise/metrics/bouts"
	"boutwise/parsers/recording"
	"boutwise/pipeline/practice"
)

// byClient groups the sessions of the truth.
func byClient(truth *Truth) map[string][]SessionTruth {
	sessions := map[string][]SessionTruth{}
	for _, s := range truth.Sessions {
		sessions[s.Client] = append(sessions[s.Client], s)
	}
	return sessions
}

// inForce is what prescriptions.csv asks for on a day.
func inForce(p *practice.Practice, client string, kind practice.SessionKind, day practice.Date) practice.Prescription {
	var last practice.Prescription
	for _, row := range p.Prescriptions {
		if row.Client == client && row.Session == kind && row.EffectiveFrom <= day {
			last = row
		}
	}
	return last
}

// TestSessionsFollowPrescriptions holds what was done against what the coach's
// file asks for: everyone keeps to it but for what is scripted.
func TestSessionsFollowPrescriptions(t *testing.T) {
	truth := written(t)
	p, err := practice.Load(scratch)
	if err != nil {
		t.Fatal(err)
	}
	cal, err := newCalendar(0)
	if err != nil {
		t.Fatal(err)
	}
	for client, sessions := range byClient(truth) {
		for week := 1; week <= Weeks; week++ {
			for _, kind := range []practice.SessionKind{practice.Base, practice.BaseWithBursts, practice.Intervals} {
				asked := inForce(p, client, kind, cal.day(week, 0))
				want, got := asked.PerWeek, 0
				switch {
				case client == "c105" && week > 7:
					want = 0
				case client == "c108" && week == 6 && kind == practice.Intervals:
					want++
				}
				for _, s := range sessions {
					if s.Week != week || s.Kind != kind {
						continue
					}
					got++
					if extra := s.DurationS/60 - asked.Minutes; extra < 0 || extra > 1.1 {
						t.Errorf("%s %s: %.1f minutes, asked for %v", client, s.StartUTC, s.DurationS/60, asked.Minutes)
					}
					if len(s.Bouts) != asked.Rounds {
						t.Errorf("%s %s: %d bouts, asked for %d", client, s.StartUTC, len(s.Bouts), asked.Rounds)
					}
				}
				if got != want {
					t.Errorf("%s week %d: %d sessions of kind %s, want %d", client, week, got, kind, want)
				}
			}
		}
	}
}

// TestSuggestionsPrecedeSteps: bursts and intervals begin in the week after
// the one in which they are due to be suggested.
func TestSuggestionsPrecedeSteps(t *testing.T) {
	truth := written(t)
	begin := map[string]practice.SessionKind{
		SuggestBeginBursts: practice.BaseWithBursts, SuggestBeginIntervals: practice.Intervals,
	}
	steps := 0
	for _, c := range truth.Clients {
		for _, e := range c.Suggestions {
			if slices.Contains(c.Never, e.Name) {
				t.Errorf("%s: %s is both scripted and ruled out", c.ID, e.Name)
			}
			kind, ok := begin[e.Name]
			if !ok {
				continue
			}
			steps++
			first := 0
			for _, s := range byClient(truth)[c.ID] {
				if s.Kind == kind && first == 0 {
					first = s.Week
				}
			}
			if first != e.Week+1 {
				t.Errorf("%s: %s in week %d, first such session in week %d", c.ID, e.Name, e.Week, first)
			}
		}
	}
	if steps != 7 {
		t.Errorf("%d steps to bursts or intervals, want 7", steps)
	}
}

func TestWeeksAreTheClients(t *testing.T) {
	truth := written(t)
	zone, err := time.LoadLocation(truth.TimeZone)
	if err != nil {
		t.Fatal(err)
	}
	apart := 0
	offsets := map[int]bool{}
	for _, s := range truth.Sessions {
		local := s.StartUTC.In(zone)
		if got := practice.DateOf(local).ISOWeek(); got != s.ISOWeek {
			t.Errorf("%s %s: local week %s, truth says %s", s.Client, s.StartUTC, got, s.ISOWeek)
		}
		if practice.DateOf(s.StartUTC).ISOWeek() != s.ISOWeek {
			apart++
		}
		_, offset := local.Zone()
		offsets[offset] = true
	}
	// What the zone was chosen for.
	if apart == 0 {
		t.Error("no session lies in another week by UTC")
	}
	if len(offsets) != 2 {
		t.Errorf("%d offsets from UTC, want two: the clocks change in week 1", len(offsets))
	}
}

// TestIntensity checks how hard base sessions are on the heart: above 60 % of
// heart rate reserve, where vigorous begins (Garber et al. 2011), only the
// client whose story it is.
func TestIntensity(t *testing.T) {
	written(t)
	for _, sim := range simulate(t) {
		b, rate := sim.client.body, sim.rec.Samples.HeartRate
		if sim.truth.MaxHR > b.maximal {
			t.Errorf("%s %s: heart rate %.1f above the maximum %v", sim.truth.Client, sim.truth.StartUTC, sim.truth.MaxHR, b.maximal)
		}
		if sim.truth.Kind != practice.Base || sim.truth.Trouble != "" {
			continue
		}
		above := 0
		for _, h := range rate {
			if h >= b.resting+0.6*(b.maximal-b.resting) {
				above++
			}
		}
		share := float64(above) / float64(len(rate))
		if hard := sim.truth.Client == "c103"; hard && share < 0.7 || !hard && share > 0.02 {
			t.Errorf("%s %s: %.0f %% of a base session at vigorous heart rates", sim.truth.Client, sim.truth.StartUTC, 100*share)
		}
	}
}

func TestPacing(t *testing.T) {
	truth := written(t)
	fast := 0
	for _, s := range truth.Sessions {
		for _, b := range s.Bouts {
			first, last := b.Quarters[0], b.Quarters[3]
			if sum := b.Quarters[0] + b.Quarters[1] + b.Quarters[2] + b.Quarters[3]; math.Abs(sum-400) > 0.5 {
				t.Errorf("%s %s: quarters add up to %.2f %%", s.Client, s.StartUTC, sum)
			}
			switch b.Pacing {
			case "fast_start":
				fast++
				if first < 108 || last > 95 {
					t.Errorf("%s %s: fast start from %.1f to %.1f %%", s.Client, s.StartUTC, first, last)
				}
			case "even":
				// A quarter of a burst is a matter of seconds, and noisier.
				limit := 3.0
				if s.Kind == practice.BaseWithBursts {
					limit = 6
				}
				if math.Abs(first-last) > limit {
					t.Errorf("%s %s: even bout from %.1f to %.1f %%", s.Client, s.StartUTC, first, last)
				}
			default:
				t.Errorf("%s %s: pacing %q", s.Client, s.StartUTC, b.Pacing)
			}
		}
	}
	// Four bouts in each of c102's five weeks of intervals.
	if fast != 20 {
		t.Errorf("%d bouts with a fast start, want 20", fast)
	}
}

// TestTrials holds the maximal efforts against the client's critical power and
// the work above it: P = CP + W/t (Monod and Scherrer 1965).
func TestTrials(t *testing.T) {
	truth := written(t)
	c := truth.Clients[slices.IndexFunc(truth.Clients, func(c ClientTruth) bool { return len(c.CriticalPower) > 0 })]
	lengths := map[float64]int{}
	for _, s := range byClient(truth)[c.ID] {
		if s.Kind != practice.Intervals || s.Week != 5 && s.Week != 12 {
			continue
		}
		for _, b := range s.Bouts {
			d := b.EndS - b.StartS
			lengths[d]++
			want := c.CriticalPower[s.Week-1] + 1000*c.WorkAboveCP/d
			if math.Abs(b.MeanOutput-want) > 0.02*want {
				t.Errorf("week %d, %v s: %.1f W, the model says %.1f W", s.Week, d, b.MeanOutput, want)
			}
		}
	}
	for _, d := range []float64{150, 240, 390, 560} {
		if lengths[d] != 2 {
			t.Errorf("%d efforts of %v s, want two", lengths[d], d)
		}
	}
	// An effort that takes all takes the heart to its maximum, however long it
	// lasts: by that the coach's rules know it from one that was held back.
	trials := 0
	for _, sim := range simulate(t) {
		if sim.truth.Client != c.ID || sim.truth.Kind != practice.Intervals || sim.truth.Week != 5 && sim.truth.Week != 12 {
			continue
		}
		for _, b := range sim.truth.Bouts {
			trials++
			if _, peak := meanMax(sim.rec.Samples.HeartRate[int(b.StartS):int(b.EndS)]); peak < 0.95*sim.client.body.maximal {
				t.Errorf("week %d, %v s: heart rate up to %.0f only", sim.truth.Week, b.EndS-b.StartS, peak)
			}
		}
	}
	if trials != 8 {
		t.Errorf("%d maximal efforts, want 8", trials)
	}
	if c.CriticalPower[11] < 1.07*c.CriticalPower[4] {
		t.Errorf("critical power rises from %.0f to %.0f W only", c.CriticalPower[4], c.CriticalPower[11])
	}
}

// TestStrapTrouble looks for each trouble where it is scripted, and for none
// elsewhere.
func TestStrapTrouble(t *testing.T) {
	written(t)
	seen := map[string]int{}
	for _, sim := range simulate(t) {
		s := sim.rec.Samples
		missing, longest, run, locked := 0, 0, 0, 0
		for i, h := range s.HeartRate {
			if math.IsNaN(h) {
				missing++
			}
			run++
			if i == 0 || h != s.HeartRate[i-1] {
				run = 1
			}
			longest = max(longest, run)
			// GPX takes no cadence along, so that none can be seen to agree.
			if s.Cadence != nil && sim.rec.Format != recording.GPX && math.Abs(h-2*s.Cadence[i]) <= 2 {
				locked++
			}
		}
		n := float64(s.Len())
		got := ""
		switch {
		case float64(missing)/n > 0.2:
			got = string(dropouts)
		case longest > 600:
			got = string(frozen)
		case float64(locked)/n > 0.5:
			got = string(cadenceLocked)
		case missing > 0 || longest > 120:
			got = "something unscripted"
		}
		want := sim.truth.Trouble
		if want == string(cutInHalf) {
			want = ""
		}
		if got != want {
			t.Errorf("%s %s: %q, want %q", sim.truth.Client, sim.truth.StartUTC, got, want)
		}
		seen[want]++
	}
	if seen[string(dropouts)] != 2 || seen[string(frozen)] != 1 || seen[string(cadenceLocked)] != 1 {
		t.Errorf("troubles %v, want two dropouts, one freeze, one lock", seen)
	}
}

// TestBoutsStandOut: every bout lies well above what is around it
// in the signal that it is to be found by, and that signal is written.
func TestBoutsStandOut(t *testing.T) {
	written(t)
	for _, sim := range simulate(t) {
		s := sim.rec.Samples
		written := map[bouts.Signal]bool{
			bouts.Power: s.Power != nil, bouts.OxygenCost: s.Speed != nil && (s.Grade != nil || s.Altitude != nil),
			bouts.Speed: s.Speed != nil, bouts.HeartRate: s.HeartRate != nil,
		}
		if !written[sim.truth.OutputSignal] {
			t.Errorf("%s %s: signal %s is not in the export", sim.truth.Client, sim.truth.StartUTC, sim.truth.OutputSignal)
		}
		for _, b := range sim.truth.Bouts {
			if b.MeanOutput < 1.2*sim.truth.MeanOutput {
				t.Errorf("%s %s: bout at %.1f in a session of %.1f", sim.truth.Client, sim.truth.StartUTC, b.MeanOutput, sim.truth.MeanOutput)
			}
		}
	}
}
