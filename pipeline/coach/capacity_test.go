package coach

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"boutwise/metrics"
	"boutwise/pipeline/tables"
)

// trial is a session with one maximal bout: the model (P − CP)·t = W′ (Monod
// and Scherrer 1965) with CP 200 W and W′ 15 kJ, give or take.
func trial(week int, seconds, off float64) SessionView {
	return session(week, 3).withBouts(metrics.Mixed, 1, seconds).each(func(b *tables.Bout) {
		b.MeanPower, b.PeakHR = num(200+15000/seconds+off), num(175)
	})
}

func quantity(r Result, name string) *tables.Capacity {
	for i, c := range r.Capacities {
		if c.Quantity == name {
			return &r.Capacities[i]
		}
	}
	return nil
}

func TestCriticalPower(t *testing.T) {
	trials := []SessionView{trial(1, 150, 0.5), trial(2, 240, -0.5), trial(3, 390, -0.5), trial(4, 560, 0.5)}
	r := reviewed(t, config{}, on(5, 0), trials...)
	want := map[string]float64{
		"critical_power_w": 200, "work_above_critical_power_kj": 15,
		"power_for_3_min_w": 200 + 15000.0/180, "power_for_4_min_w": 262.5, "power_for_5_min_w": 250, "power_for_6_min_w": 200 + 15000.0/360, "power_for_8_min_w": 231.25,
	}
	for name, value := range want {
		got := quantity(r, name)
		if got == nil || got.Value == nil {
			t.Errorf("%s: none", name)
			continue
		}
		// The efforts are off by half a watt, so the model is met to 1 %.
		if math.Abs(*got.Value-value) > 0.01*value || *got.Low >= *got.Value || *got.High <= *got.Value {
			t.Errorf("%s: %.2f (%.2f to %.2f), want %.2f", name, *got.Value, *got.Low, *got.High, value)
		}
		if !strings.Contains(got.Evidence, "300 W for 150 s on 2025-03-06") && !strings.Contains(got.Evidence, "W for 150 s on 2025-03-06") {
			t.Errorf("%s: evidence %q", name, got.Evidence)
		}
	}
}

// TestCriticalPowerRefused: why there is no figure is said.
func TestCriticalPowerRefused(t *testing.T) {
	all := []SessionView{trial(1, 150, 0), trial(2, 240, 0), trial(3, 390, 0), trial(4, 560, 0)}
	submaximal := trial(3, 390, 0).each(func(b *tables.Bout) { b.PeakHR = num(167) }) // 93 % of 180 is 167.4
	tests := []struct {
		name     string
		config   config
		asOf     int // week
		sessions []SessionView
		want     string
	}{
		{"two efforts", config{}, 5, all[:2], "min: 2, of the"},
		{"efforts of like length", config{}, 5, []SessionView{trial(1, 300, 0), trial(2, 310, 0), trial(3, 320, 0)}, "min: 1, of the"},
		{"one of three not maximal", config{}, 5, []SessionView{all[0], all[1], submaximal}, "min: 2, of the"},
		{"bouts of a set, however hard", config{}, 5, []SessionView{all[0], all[1], session(3, 3).withBouts(metrics.Intervals, 4, 390).each(func(b *tables.Bout) { b.PeakHR = num(178) })}, "min: 2, of the"},
		{"too long ago", config{}, 18, all, ""}, // no bout in the window, no row
		{"an estimated maximum", config{measurements: "c1,2025-01-01,resting_hr_bpm,60\n"}, 5, all, "min: 0, of the"},
		{"on medication", config{client: "c1,A,1980,female,yes"}, 5, all, "min: 0, of the"},
		{"scattered", config{}, 5, []SessionView{trial(1, 150, -20), trial(2, 240, 25), trial(3, 390, -20), trial(4, 560, 15)}, "uncertain by"},
	}
	for _, tt := range tests {
		got := quantity(reviewed(t, tt.config, on(tt.asOf, 0), tt.sessions...), "critical_power_w")
		switch {
		case tt.want == "" && got != nil:
			t.Errorf("%s: %+v", tt.name, got)
		case tt.want == "":
		case got == nil || got.Value != nil || !strings.Contains(got.Evidence, tt.want):
			t.Errorf("%s: %+v, want a refusal: %s", tt.name, got, tt.want)
		}
	}
	// A client's own word for it makes an effort maximal where heart rate cannot.
	var rated []SessionView
	for i, v := range all {
		rated = append(rated, v.but(func(s *tables.Session) { s.RatedExertion = num(9) }).each(func(b *tables.Bout) {
			b.MeanPower = num(*b.MeanPower + []float64{0.5, -0.5, -0.5, 0.5}[i])
		}))
	}
	if got := quantity(reviewed(t, config{client: "c1,A,1980,female,yes"}, on(5, 0), rated...), "critical_power_w"); got == nil || got.Value == nil {
		t.Errorf("rated 9 on medication: %+v", got)
	}
}

// TestBestOfALength: of efforts of about one length the strongest is taken.
func TestBestOfALength(t *testing.T) {
	got := best([]effort{
		{metrics.Effort{Seconds: 300, Watts: 240}, 1}, {metrics.Effort{Seconds: 290, Watts: 250}, 2},
		{metrics.Effort{Seconds: 600, Watts: 220}, 3}, {metrics.Effort{Seconds: 150, Watts: 300}, 4},
	})
	want := []effort{
		{metrics.Effort{Seconds: 150, Watts: 300}, 4}, {metrics.Effort{Seconds: 290, Watts: 250}, 2}, {metrics.Effort{Seconds: 600, Watts: 220}, 3},
	}
	if diff := cmp.Diff(want, got, cmp.AllowUnexported(effort{})); diff != "" {
		t.Error(diff)
	}
}

// TestMaximalUptake joins base sessions and bouts on one line and extends it:
// 100 W at 70 kg cost 22.733 mL/kg/min (ACSM cycling equation, Bushman 2020),
// 160 W cost 32.173; at 110 and 140 bpm the line meets 180 bpm at 44.76.
func TestMaximalUptake(t *testing.T) {
	stage := intervals(2, 2).each(func(b *tables.Bout) { b.HRAtThreeQuarters, b.MeanOxygenCost = num(140), num(32.173) })
	r := reviewed(t, config{}, on(3, 0), session(1, 0), stage)
	got := quantity(r, "vo2max_ml_kg_min")
	if got == nil || got.Value == nil {
		t.Fatalf("%+v", r.Capacities)
	}
	if diff := cmp.Diff(44.760, *got.Value, cmpopts.EquateApprox(0, 0.01)); diff != "" {
		t.Error(diff)
	}
	// A standard error of a tenth is the least that is told.
	if *got.Low > 0.9*44.77 || *got.High < 1.1*44.75 {
		t.Errorf("limits %v to %v", *got.Low, *got.High)
	}
}

func TestMaximalUptakeRefused(t *testing.T) {
	stage := func(hr float64) SessionView {
		return intervals(2, 2).each(func(b *tables.Bout) { b.HRAtThreeQuarters, b.MeanOxygenCost = num(hr), num(32.173) })
	}
	tests := []struct {
		name     string
		config   config
		sessions []SessionView
		want     string
	}{
		{"base alone", config{}, []SessionView{session(1, 0), session(1, 2)}, "rises by 0 bpm"},
		{"bouts above 85 % of the maximum", config{}, []SessionView{session(1, 0), stage(154)}, "1 steady stages"},
		{"on medication", config{client: "c1,A,1980,female,yes"}, []SessionView{session(1, 0), stage(140)}, "medication limits heart rate"},
	}
	for _, tt := range tests {
		got := quantity(reviewed(t, tt.config, on(3, 0), tt.sessions...), "vo2max_ml_kg_min")
		if got == nil || got.Value != nil || !strings.Contains(got.Evidence, tt.want) {
			t.Errorf("%s: %+v, want %s", tt.name, got, tt.want)
		}
	}
	if got := quantity(reviewed(t, config{}, on(12, 0), session(1, 0), stage(140)), "vo2max_ml_kg_min"); got != nil {
		t.Errorf("from stages of ten weeks ago: %+v", got)
	}
}

// TestMaximalUptakeOfOneSport: stages on foot and on a bicycle make no line
// together. The walks are the latest, and alone.
func TestMaximalUptakeOfOneSport(t *testing.T) {
	stage := intervals(2, 2).each(func(b *tables.Bout) { b.HRAtThreeQuarters, b.MeanOxygenCost = num(140), num(32.173) })
	rides := []SessionView{session(1, 0), stage}
	got := quantity(reviewed(t, config{}, on(3, 0), append(rides, walk(2, 6, 15.72))...), "vo2max_ml_kg_min")
	if got == nil || got.Value != nil || !strings.Contains(got.Evidence, "1 steady stages") || !strings.Contains(got.Method, "of walking in 42 days") {
		t.Errorf("a walk after rides: %+v", got)
	}
	got = quantity(reviewed(t, config{}, on(3, 0), append(rides, walk(1, 2, 15.72))...), "vo2max_ml_kg_min")
	if got == nil || math.Abs(tables.Value(got.Value)-44.760) > 0.01 || !strings.Contains(got.Method, "means, warm-up and drift included") {
		t.Errorf("rides after a walk: %+v", got)
	}
}

// onFoot is eight weeks of walks that cost more and more oxygen, at one speed:
// the hill gets steeper.
func onFoot() []SessionView {
	return weekly(1, 8, func(week, day int) SessionView {
		return session(week, day).but(func(s *tables.Session) {
			s.Sport, s.OutputSignal, s.MeanPower, s.MeanSpeed = "walking", "oxygen_cost", nil, num(1.2)
			s.MeanOxygenCost = num(17 + float64(week))
		})
	}, 0)
}

func TestTrends(t *testing.T) {
	growing := func(perWeek float64) []SessionView {
		return weekly(1, 8, func(week, day int) SessionView {
			return session(week, day).but(func(s *tables.Session) { s.MeanPower = num(100 + perWeek*float64(week)) })
		}, 0)
	}
	tests := []struct {
		name     string
		sessions []SessionView
		word     string
		value    float64
	}{
		// 1 W a week on a median of 104.5 W, over 365.25/12 days.
		{"rising", growing(1), "rising, 8 sessions", 100 / 104.5 / 7 * 365.25 / 12},
		{"falling", growing(-1), "falling, 8 sessions", -100 / 95.5 / 7 * 365.25 / 12},
		{"flat", growing(0), "no clear trend, 8 sessions", 0},
		// On foot the cost above rest counts, one MET of 3.5 mL/kg/min: from 18
		// to 25 it rises by 1 a week on a median of 18.
		{"on foot", onFoot(), "rising, 8 sessions", 100 / 18.0 / 7 * 365.25 / 12},
	}
	for _, tt := range tests {
		got := quantity(reviewed(t, config{}, on(9, 0), tt.sessions...), "base_output_trend_pct_per_month")
		if got == nil || !strings.Contains(got.Evidence, tt.word) || math.Abs(*got.Value-tt.value) > 1e-9 {
			t.Errorf("%s: %+v, want %s, %v", tt.name, got, tt.word, tt.value)
		}
	}
	if got := quantity(reviewed(t, config{}, on(9, 0), growing(1)[:7]...), "base_output_trend_pct_per_month"); got != nil {
		t.Errorf("seven sessions: %+v", got)
	}
	// Bouts of another length are another matter.
	var sessions []SessionView
	for week := 1; week <= 8; week++ {
		sessions = append(sessions, intervals(week, 1), session(week, 4).withBouts(metrics.Intervals, 2, 400))
	}
	if got := quantity(reviewed(t, config{}, on(9, 0), sessions...), "interval_output_trend_pct_per_month"); got == nil || !strings.Contains(got.Evidence, "8 sessions") {
		t.Errorf("two lengths: %+v", got)
	}
}
