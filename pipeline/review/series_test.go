package review

import (
	"fmt"
	"html/template"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

var nan = math.NaN()

func TestThin(t *testing.T) {
	column := make([]float64, 3*maxPoints)
	for i := range column {
		column[i] = float64(i / 3)
		if i >= 30 && i < 36 || i == 60 {
			column[i] = nan
		}
	}
	got := thin(column)
	if got.every != 3 || len(got.values) != maxPoints {
		t.Fatalf("got %d values of %d s, want %d of 3 s", len(got.values), got.every, maxPoints)
	}
	for i, v := range got.values {
		missing := i == 10 || i == 11
		if math.IsNaN(v) != missing {
			t.Errorf("value %d is %v; missing only where all its seconds are", i, v)
		}
		if !missing && v != float64(i) {
			t.Errorf("value %d: got %v, want the mean of its seconds, %d", i, v, i)
		}
	}
	if got := thin([]float64{1, 2}); got.every != 1 || len(got.values) != 2 {
		t.Errorf("a short column was thinned: %+v", got)
	}
	if got := thin(nil); len(got.values) != 0 {
		t.Errorf("an empty column became %v", got.values)
	}
}

func TestRuns(t *testing.T) {
	got := map[int][]float64{}
	for first, run := range runs([]float64{nan, 1, 2, nan, nan, 3}) {
		got[first] = run
	}
	if diff := cmp.Diff(map[int][]float64{1: {1, 2}, 5: {3}}, got); diff != "" {
		t.Errorf("runs (-want +got):\n%s", diff)
	}
}

// A gap breaks the line: two parts for two runs.
func TestLineBreaksAtGaps(t *testing.T) {
	svg, err := drawSVG(200, 100, func(d *drawing) {
		p := newPlot(d, axis{high: 6}, axis{high: 10})
		p.Add(line{on: d, data: thinned{every: 1, values: []float64{1, 2, nan, 4, 5, nan}}, style: stroke(&inkOutput, 1)})
		p.Draw(d.canvas())
	})
	if err != nil {
		t.Fatal(err)
	}
	if got := partsOf(t, svg, "stroke:var(--output)"); got != 2 {
		t.Errorf("got %d parts for two runs", got)
	}
}

// A session's drawing shows each bout, its two doubtful boundaries and its
// quarters.
func TestTraceShowsBouts(t *testing.T) {
	_, data := fixture()
	view, err := drawTrace(data, byNumber(data.Bouts))
	if err != nil {
		t.Fatal(err)
	}
	for what, count := range map[string]struct{ got, want int }{
		// Two panels, two confirmed bouts; the possible one is not filled.
		"filled bouts":  {partsOf(t, view.SVG, "fill:var(--bout)"), 4},
		"boundaries":    {partsOf(t, view.SVG, "fill:var(--rule)"), 12},
		"quarter steps": {partsOf(t, view.SVG, "stroke:var(--quarter)"), 3},
		"hatchings":     {partsOf(t, view.SVG, "stroke-dasharray:7 33;"), 12},
		"recoveries":    {partsOf(t, view.SVG, "stroke-dasharray:15 15;"), 3},
		"questions":     {strings.Count(string(view.SVG), ">3?<"), 1},
	} {
		if count.got != count.want {
			t.Errorf("%s: got %d, want %d", what, count.got, count.want)
		}
	}
	if !view.HasGaps {
		t.Error("the pause is not told")
	}
	data.Session.OutputSignal, data.Output = heartRate, nil
	if list := panels(data); len(list) != 1 || list[0].ink != &inkHeart {
		t.Errorf("a session by heart rate has panels %v, want the heart rate alone", list)
	}
}

// A quarter's mean beyond all that the line shows widens the plot: its step is
// drawn within it, below the upper edge and above the time axis.
func TestStepsAreInSight(t *testing.T) {
	_, data := fixture()
	bouts := byNumber(data.Bouts)[:1]
	bouts[0].Quarter1, bouts[0].Quarter4 = ptr(300.0), ptr(1.0)
	trace, err := drawTrace(data, bouts)
	if err != nil {
		t.Fatal(err)
	}
	small, err := drawBouts(data, bouts)
	if err != nil {
		t.Fatal(err)
	}
	for _, svg := range []template.HTML{trace.SVG, small[0].SVG} {
		steps := 0
		for _, e := range elements(t, svg) {
			if !strings.HasPrefix(attribute(e, "style"), "stroke:var(--quarter)") {
				continue
			}
			var x, y, dx, dy int
			if _, err := fmt.Sscanf(attribute(e, "d"), "M%d %dl%d %d %d %d", &x, &y, new(int), new(int), &dx, &dy); err != nil {
				t.Fatalf("path %q: %v", attribute(e, "d"), err)
			}
			steps++
			if y < 40 || dx != 0 || dy <= 0 {
				t.Errorf("the first step lies %d tenths below the upper edge, the next %d below it; want both in sight", y, dy)
			}
		}
		if steps != 1 {
			t.Errorf("%d paths of steps, want 1", steps)
		}
	}
}

func TestTicks(t *testing.T) {
	for _, c := range []struct{ low, high float64 }{{0, 1}, {0.4, 0.9}, {-12, 5}, {0, 2500}, {99, 101}} {
		ticks := evenTicks(c.low, c.high)
		if len(ticks) < 2 || len(ticks) > 6 {
			t.Errorf("%v to %v: %d ticks", c.low, c.high, len(ticks))
		}
		for _, tick := range ticks {
			if tick.Label == "" || tick.Value < c.low-1e-9 || tick.Value > c.high+1e-9 {
				t.Errorf("%v to %v: tick %v %q", c.low, c.high, tick.Value, tick.Label)
			}
		}
	}
	for _, seconds := range []float64{1, 59, 600, 3000, 20000, 90000} {
		if n := len(timeTicks(0, seconds)); n < 1 || n > 11 {
			t.Errorf("%v s: %d ticks", seconds, n)
		}
	}
}

func TestWords(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{num(1, -3.44), "−3.4"}, {num(0, -0.2), "0"}, {num(0, nan), absent}, {num(1, (*float64)(nil)), absent},
		{whole(ptr(2.5000001)), "3"}, {clock(59.6), "1:00"}, {clock(3725.0), "1:02:05"}, {clock(nan), absent},
		{plural(1, "bout"), "1 bout"}, {plural(2, "bout"), "2 bouts"}, {plain("base_with_bursts"), "base with bursts"},
		{sentence("no session"), "No session."}, {sentence("Why?"), "Why?"}, {capital("éclair"), "Éclair"}, {sentence(""), ""},
		{listed([]string{"a", "b", "c"}), "a, b and c"}, {listed(nil), ""},
		{clock(roundedLength(58)), "1:00"}, {clock(roundedLength(112)), "2:00"}, {clock(roundedLength(245)), "4:00"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}
