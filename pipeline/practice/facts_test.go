package practice

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

func TestMeasurementInForce(t *testing.T) {
	p := load(t, map[string]string{
		"clients.csv":      clientsHeader + "c1,A,1960,female,yes\n",
		"measurements.csv": "client_id,date,quantity,value\nc1,2026-02-01,resting_hr_bpm,60\nc1,2026-03-01,resting_hr_bpm,55\n",
	})
	tests := []struct {
		day  string
		want float64
	}{
		{"2025-01-01", 60}, // before the first one, the first one
		{"2026-02-01", 60},
		{"2026-02-28", 60},
		{"2026-03-01", 55},
		{"2027-01-01", 55},
	}
	for _, tt := range tests {
		if got := p.FactsOn("c1", day(tt.day)).RestingHR; got != tt.want {
			t.Errorf("%s: %v, want %v", tt.day, got, tt.want)
		}
	}
	f := p.FactsOn("c1", day("2026-03-01"))
	// Tanaka et al. 2001: 208 − 0.7 · 66.
	if math.Abs(f.MaxHR-161.8) > 1e-9 || !f.MaxHREstimated || f.Age != 66 || !f.HRLimitingMedication {
		t.Errorf("facts %+v", f)
	}
	if !math.IsNaN(f.BodyMass) {
		t.Errorf("body mass %v from nothing", f.BodyMass)
	}
}

// TestBandsInForce follows one client through the sets that replace each
// other.
func TestBandsInForce(t *testing.T) {
	p := load(t, map[string]string{
		"clients.csv": clientsHeader + "c1,A,1966,female,no\nc2,B,,,\n",
		"measurements.csv": "client_id,date,quantity,value\n" +
			"c1,2026-01-01,resting_hr_bpm,60\nc1,2026-01-01,max_hr_bpm,180\nc1,2026-01-01,threshold_power_w,200\n",
		"bands.csv": "client_id,effective_from,signal,band,lower,unit\n" +
			"*,2026-02-15,heart_rate,low,0,pct_max_hr\n*,2026-02-15,heart_rate,high,80,pct_max_hr\n" +
			"*,2026-04-01,heart_rate,low,0,bpm\n*,2026-04-01,heart_rate,high,130,bpm\n" +
			"c1,2026-03-01,heart_rate,easy,0,pct_hr_reserve\nc1,2026-03-01,heart_rate,hard,60,pct_hr_reserve\n" +
			"*,2026-01-01,power,easy,0,pct_threshold_power\n*,2026-01-01,power,hard,90,pct_threshold_power\n",
	})
	power := BandSet{Signal: BandPower, EffectiveFrom: day("2026-01-01"), Names: []string{"easy", "hard"}, Lower: []float64{0, 180}}
	acsm := []string{"very_light", "light", "moderate", "vigorous", "near_maximal"}
	tests := []struct {
		client, day string
		want        []BandSet
	}{
		// Garber et al. 2011 by reserve: 30, 40, 60, 90 % of 60 to 180 bpm.
		{"c1", "2025-06-01", []BandSet{{Signal: BandHeartRate, Default: true, Names: acsm, Lower: []float64{0, 96, 108, 132, 168}}}},
		{"c1", "2026-02-14", []BandSet{{Signal: BandHeartRate, Default: true, Names: acsm, Lower: []float64{0, 96, 108, 132, 168}}, power}},
		{"c1", "2026-02-15", []BandSet{{Signal: BandHeartRate, EffectiveFrom: day("2026-02-15"), Names: []string{"low", "high"}, Lower: []float64{0, 144}}, power}},
		{"c1", "2026-03-01", []BandSet{{Signal: BandHeartRate, EffectiveFrom: day("2026-03-01"), Names: []string{"easy", "hard"}, Lower: []float64{0, 132}}, power}},
		// A later set for everybody does not take the place of the client's own.
		{"c1", "2026-05-01", []BandSet{{Signal: BandHeartRate, EffectiveFrom: day("2026-03-01"), Names: []string{"easy", "hard"}, Lower: []float64{0, 132}}, power}},
		// Without a maximal rate a percentage of it means nothing.
		{"c2", "2026-02-15", nil},
		{"c2", "2026-04-01", []BandSet{{Signal: BandHeartRate, EffectiveFrom: day("2026-04-01"), Names: []string{"low", "high"}, Lower: []float64{0, 130}}}},
	}
	for _, tt := range tests {
		got := p.FactsOn(tt.client, day(tt.day)).Bands
		if diff := cmp.Diff(tt.want, got, cmpopts.EquateApprox(0, 1e-9)); diff != "" {
			t.Errorf("%s on %s:\n%s", tt.client, tt.day, diff)
		}
	}
}

// TestDefaultBandsWithoutRest: by maximal heart rate, and marked as estimated
// when that comes from age.
func TestDefaultBandsWithoutRest(t *testing.T) {
	p := load(t, map[string]string{"clients.csv": clientsHeader + "c1,A,1986,,\n"})
	got := p.FactsOn("c1", day("2026-05-01")).Bands
	// Age 40: Tanaka 180; Garber et al. 2011 at 57, 64, 77, 96 % of it.
	want := []BandSet{{
		Signal: BandHeartRate, Default: true, Estimated: true,
		Names: []string{"very_light", "light", "moderate", "vigorous", "near_maximal"},
		Lower: []float64{0, 102.6, 115.2, 138.6, 172.8},
	}}
	if diff := cmp.Diff(want, got, cmpopts.EquateApprox(0, 1e-9)); diff != "" {
		t.Error(diff)
	}
}

func TestPrescriptionsOn(t *testing.T) {
	p := load(t, map[string]string{
		"clients.csv": clientsHeader + "c1,A,1960,,\n",
		"prescriptions.csv": "client_id,effective_from,session,per_week,minutes,rounds,work_s,recovery_s\n" +
			"c1,2026-03-02,intervals,1,45,4,180,180\n" +
			"c1,2026-01-05,base,3,30\n" +
			"c1,2026-02-02,base,3,40\n" +
			"c1,2026-02-02,base_with_bursts,1,40,5,60,60\n" +
			"c1,2026-03-02,base_with_bursts,0\n",
	})
	tests := []struct {
		day  string
		want string
	}{
		{"2026-01-04", ""},
		{"2026-01-05", "base/30"},
		{"2026-02-02", "base/40 base_with_bursts/40"},
		{"2026-03-02", "base/40 intervals/45"},
	}
	for _, tt := range tests {
		var got []string
		for _, r := range p.PrescriptionsOn("c1", day(tt.day)) {
			got = append(got, fmt.Sprintf("%s/%v", r.Session, r.Minutes))
		}
		if s := strings.Join(got, " "); s != tt.want {
			t.Errorf("%s: %q, want %q", tt.day, s, tt.want)
		}
	}
	if got := p.PrescriptionsOn("c2", testDay); got != nil {
		t.Errorf("an unknown client has %v", got)
	}
}

func TestDate(t *testing.T) {
	zone := time.FixedZone("", 10*3600)
	late := time.Date(2026, 3, 1, 20, 0, 0, 0, time.UTC)
	if got := DateOf(late.In(zone)).String(); got != "2026-03-02" {
		t.Errorf("the day ten hours east is %s", got)
	}
	if got := DateOf(late).String(); got != "2026-03-01" {
		t.Errorf("the day is %s", got)
	}
	if got := DateOf(time.Date(1969, 12, 31, 23, 0, 0, 0, time.UTC)); got != -1 {
		t.Errorf("the day before the epoch is %d", got)
	}
}

// TestLookUpIsBySearch holds the look-ups against a plain walk through the
// rows: the latest on or before the day.
func TestLookUpIsBySearch(t *testing.T) {
	p := decade(t)
	for d := day("2015-12-01"); d <= testDay; d += 5 {
		want := Prescription{}
		for _, r := range p.Prescriptions {
			if r.Session == Intervals && r.EffectiveFrom <= d {
				want = r
			}
		}
		got, asked := p.Prescribed("c1", Intervals, d)
		if asked != (want.PerWeek > 0) || asked && got.EffectiveFrom != want.EffectiveFrom {
			t.Fatalf("%s: prescribed %v (%v), want %v", d, got.EffectiveFrom, asked, want.EffectiveFrom)
		}
		mass := math.NaN()
		for _, m := range p.Measurements {
			if m.Quantity == BodyMass && (m.Date <= d || math.IsNaN(mass)) {
				mass = m.Value
			}
		}
		last, measured := Date(0), false
		for _, m := range p.Measurements {
			if m.Quantity == BodyMass && m.Date <= d {
				last, measured = m.Date, true
			}
		}
		if on, ok := p.LastMeasured("c1", BodyMass, d); on != last || ok != measured {
			t.Fatalf("%s: last measured on %v (%v), want %v", d, on, ok, last)
		}
		if f := p.FactsOn("c1", d); f.BodyMass != mass {
			t.Fatalf("%s: body mass %v, want %v", d, f.BodyMass, mass)
		}
	}
}

// decade is one client with ten years of monthly measurements and
// prescriptions, and bands of her own twice a year.
func decade(t testing.TB) *Practice {
	t.Helper()
	var measurements, bands, prescriptions strings.Builder
	measurements.WriteString("client_id,date,quantity,value\n")
	bands.WriteString("client_id,effective_from,signal,band,lower,unit\n")
	prescriptions.WriteString("client_id,effective_from,session,per_week,minutes,rounds,work_s,recovery_s\n")
	for month := range 120 {
		on := fmt.Sprintf("%d-%02d-03", 2016+month/12, 1+month%12)
		fmt.Fprintf(&measurements, "c1,%[1]s,body_mass_kg,%[2]d\nc1,%[1]s,resting_hr_bpm,60\nc1,%[1]s,max_hr_bpm,180\nc1,%[1]s,threshold_power_w,200\n", on, 70+month%9)
		fmt.Fprintf(&prescriptions, "c1,%[1]s,base,3,40,,,\nc1,%[1]s,intervals,%[2]d,45,4,180,180\n", on, month%4)
		if month%6 == 0 {
			fmt.Fprintf(&bands, "c1,%[1]s,heart_rate,easy,0,pct_hr_reserve\nc1,%[1]s,heart_rate,steady,40,pct_hr_reserve\nc1,%[1]s,heart_rate,hard,60,pct_hr_reserve\n", on)
			fmt.Fprintf(&bands, "c1,%[1]s,power,easy,0,pct_threshold_power\nc1,%[1]s,power,hard,75,pct_threshold_power\n", on)
		}
	}
	p, err := loadAsOf(folder(t, map[string]string{
		"clients.csv":       clientsHeader + "c1,A,1960,female,no\n",
		"measurements.csv":  measurements.String(),
		"bands.csv":         bands.String(),
		"prescriptions.csv": prescriptions.String(),
	}), testDay)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// BenchmarkFactsOn looks up a session's facts, as is done for every session
// of a client whenever a fact of the client changes.
func BenchmarkFactsOn(b *testing.B) {
	p, first := decade(b), day("2016-06-01")
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		p.FactsOn("c1", first+Date(i%3600))
	}
}

// BenchmarkPrescriptionsOn looks up what is asked of a client in a week.
func BenchmarkPrescriptionsOn(b *testing.B) {
	p, first := decade(b), day("2016-06-01")
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		p.PrescriptionsOn("c1", first+Date(i%3600))
	}
}
