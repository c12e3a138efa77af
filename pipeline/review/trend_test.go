package review

import (
	"math"
	"slices"
	"strings"
	"testing"

	"boutwise/pipeline/calendar"
	"boutwise/pipeline/coach"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/tables"
)

// A drift behind which a sensor is in doubt is shown with a question mark, and
// no course is drawn through it.
func TestDriftInDoubt(t *testing.T) {
	data := ClientData{Client: practice.Client{ID: "c1"}}
	for i, drift := range []float64{0.5, -13.3, 0.7} {
		data.Sessions = append(data.Sessions, tables.Session{
			ClientID: "c1", SessionID: string(rune('a' + i)), LocalDate: asOf + calendar.Date(i), Kind: "base", HRDrift: &drift,
		})
	}
	data.Findings = []tables.Finding{{ClientID: "c1", SessionID: "b", Date: asOf + 1, Severity: soon, Finding: coach.SensorTrouble, Message: "m"}}
	trend, err := viewDriftTrend(data)
	if err != nil {
		t.Fatal(err)
	}
	if got := len(trend.Series[0].Points); got != 2 || trend.LeftOut != 1 {
		t.Errorf("got %d points and %d left out, want 2 and 1", got, trend.LeftOut)
	}
	page, err := Client(data)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"−13.3\u00a0?", "Left out: 1 session with a sensor in doubt."} {
		if !strings.Contains(string(page.HTML), want) {
			t.Errorf("the page does not say %q", want)
		}
	}
}

// An axis leaves room around its marks, and one without zero spans enough that
// a small change looks small.
func TestTrendSpan(t *testing.T) {
	for _, c := range []struct {
		name     string
		values   []float64
		withZero bool
	}{
		{"a rise of 2.5 %", []float64{71.3, 73.1}, false},
		{"a single point", []float64{200}, false},
		{"small values far apart", []float64{1, 9}, false},
		{"drift on both sides of zero", []float64{-0.8, 0.9}, true},
		{"no drift at all", []float64{0, 0}, true},
	} {
		low, high := trendSpan(c.values, c.withZero)
		lowest, highest := slices.Min(c.values), slices.Max(c.values)
		if !(low <= lowest && highest < high) || math.IsInf(low, 0) {
			t.Errorf("%s: %g to %g does not hold %v", c.name, low, high, c.values)
		}
		switch {
		case c.withZero && (low > 0 || high < 0):
			t.Errorf("%s: %g to %g is without zero", c.name, low, high)
		case !c.withZero && low < 0:
			t.Errorf("%s: %g to %g goes below zero, where no output is", c.name, low, high)
		case !c.withZero && high-low < trendLeast*highest:
			t.Errorf("%s: %g to %g is less than %g of %g", c.name, low, high, trendLeast, highest)
		}
	}
}
