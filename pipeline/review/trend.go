package review

import (
	"cmp"
	"fmt"
	"html/template"
	"math"
	"slices"
	"time"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"boutwise/pipeline/calendar"
	"boutwise/pipeline/tables"
)

// trendView is a figure over a client's weeks.
type trendView struct {
	SVG     template.HTML
	Label   string
	Series  []trendSeries // for the table beside the figure
	Unit    string
	Signal  string
	LeftOut int  // bouts or sessions that the figure does not show
	Cut     bool // the scale does not begin at zero
	Digits  int
}

// trendSeries is one mark's points.
type trendSeries struct {
	Name   string
	Points []trendPoint // oldest first
}

type trendPoint struct {
	Day   calendar.Date
	Value float64
}

// First and Last are the series' ends.
func (s trendSeries) First() trendPoint { return s.Points[0] }

// Last is the newest point.
func (s trendSeries) Last() trendPoint { return s.Points[len(s.Points)-1] }

const (
	trendHeight = 190

	// trendLengths is how many lengths of bout one figure tells apart: as many
	// as there are marks that differ in print.
	trendLengths = 4

	// trendLeast is the least that an axis without zero spans, as a share of its
	// highest value: on a narrower one a rise of two percent would look steep.
	trendLeast = 0.25

	// trendMargin is left above and below the values, as a share of what they
	// span, so that no mark is cut by the frame.
	trendMargin = 0.05
)

// trendMarks tell the series apart by shape.
var trendMarks = []draw.GlyphDrawer{
	draw.CircleGlyph{}, draw.PyramidGlyph{}, draw.RingGlyph{}, draw.SquareGlyph{},
}

// firstDay is the first day of the client's weeks. What lies before it is of a
// device whose clock was not set, and would stretch an axis by decades.
func (data ClientData) firstDay() calendar.Date {
	if len(data.Weeks) == 0 {
		return math.MinInt32
	}
	first := data.Weeks[0].Monday
	for _, w := range data.Weeks {
		first = min(first, w.Monday)
	}
	return first
}

// viewOutputTrend follows the mean output of confirmed bouts, one point a
// session and length. Lengths are rounded to half a minute below two minutes
// and to a minute above: bouts of one prescription differ by seconds. Nil
// without bouts that have an output.
func viewOutputTrend(data ClientData) (*trendView, error) {
	signal := commonSignal(data.Bouts)
	if signal == "" {
		return nil, nil
	}
	unit, times, digits := outputUnit(signal, data.Units)
	view := &trendView{Unit: unit, Signal: signal, Digits: digits}
	days := map[string]calendar.Date{}
	since := data.firstDay()
	for _, s := range data.Sessions {
		if s.LocalDate >= since {
			days[s.SessionID] = s.LocalDate
		}
	}
	type key struct {
		length  float64
		session string
	}
	sums, counts := map[key]float64{}, map[key]int{}
	perLength := map[float64]int{}
	for _, b := range data.Bouts {
		_, known := days[b.SessionID]
		mean := boutMean(b) * times
		if b.Confidence != confirmed || b.Signal != signal || math.IsNaN(mean) || !known {
			view.LeftOut++
			continue
		}
		k := key{roundedLength(b.DurationS), b.SessionID}
		sums[k] += mean
		counts[k]++
		perLength[k.length]++
	}
	shown, dropped := commonest(perLength)
	view.LeftOut += dropped
	for _, length := range shown {
		series := trendSeries{Name: clock(length)}
		for k := range sums {
			if k.length == length {
				series.Points = append(series.Points, trendPoint{days[k.session], sums[k] / float64(counts[k])})
			}
		}
		sortPoints(series.Points)
		view.Series = append(view.Series, series)
	}
	view.Label = fmt.Sprintf("Plot of the mean %s of bouts over time, a mark for each length of bout.", plain(signal))
	return view, view.draw(plain(signal)+", "+unit, false)
}

// roundedLength is a bout's length as it will have been meant, in seconds.
func roundedLength(seconds float64) float64 {
	if seconds < 105 {
		return max(30, 30*math.Round(seconds/30))
	}
	return 60 * math.Round(seconds/60)
}

// commonSignal is the signal that most confirmed bouts with an output have.
func commonSignal(bouts []tables.Bout) string {
	counts := map[string]int{}
	for _, b := range bouts {
		if b.Confidence == confirmed && b.Signal != heartRate && !math.IsNaN(boutMean(b)) {
			counts[b.Signal]++
		}
	}
	best := ""
	for _, signal := range []string{"power", "oxygen_cost", "speed"} {
		if counts[signal] > counts[best] {
			best = signal
		}
	}
	return best
}

// commonest are the lengths with the most bouts, shortest first, and how many
// bouts of other lengths there are.
func commonest(counts map[float64]int) (shown []float64, dropped int) {
	for length := range counts {
		shown = append(shown, length)
	}
	slices.SortFunc(shown, func(a, b float64) int { return cmp.Or(cmp.Compare(counts[b], counts[a]), cmp.Compare(a, b)) })
	for _, length := range shown[min(len(shown), trendLengths):] {
		dropped += counts[length]
	}
	shown = shown[:min(len(shown), trendLengths)]
	slices.Sort(shown)
	return shown, dropped
}

// viewDriftTrend follows the heart-rate drift of base sessions, those left out
// whose sensors are in doubt. Nil without.
func viewDriftTrend(data ClientData) (*trendView, error) {
	series, leftOut := trendSeries{Name: "base sessions"}, 0
	doubts, since := doubtful(data.Findings), data.firstDay()
	for _, s := range data.Sessions {
		switch {
		case s.HRDrift == nil || s.LocalDate < since:
		case doubts[s.SessionID]:
			leftOut++
		default:
			series.Points = append(series.Points, trendPoint{s.LocalDate, *s.HRDrift})
		}
	}
	if len(series.Points) == 0 {
		return nil, nil
	}
	sortPoints(series.Points)
	view := &trendView{
		Series: []trendSeries{series}, Unit: "%", Digits: 1, LeftOut: leftOut,
		Label: "Plot of the heart-rate drift of base sessions over time.",
	}
	return view, view.draw("drift, %", true)
}

func sortPoints(points []trendPoint) {
	slices.SortStableFunc(points, func(a, b trendPoint) int {
		return cmp.Or(cmp.Compare(a.Day, b.Day), cmp.Compare(a.Value, b.Value))
	})
}

// draw fills in the SVG. withZero keeps zero in sight.
func (v *trendView) draw(yLabel string, withZero bool) error {
	var values []float64
	first, last := v.Series[0].First().Day, v.Series[0].Last().Day
	for _, s := range v.Series {
		first, last = min(first, s.First().Day), max(last, s.Last().Day)
		for _, point := range s.Points {
			values = append(values, point.Value)
		}
	}
	low, high := trendSpan(values, withZero)
	v.Cut = low > 0
	x := axis{low: float64(first) - 3, high: float64(last) + 3}
	x.ticks = dayTicks(x.low, x.high)
	var err error
	v.SVG, err = drawSVG(traceWidth, trendHeight, func(d *drawing) {
		p := newPlot(d, x, axis{yLabel, low, high, evenTicks(low, high)})
		if withZero {
			p.Add(zeroLine{d})
		}
		for i, s := range v.Series {
			p.Add(marks{on: d, points: s.Points, shape: trendMarks[i]})
		}
		p.Draw(draw.Crop(d.canvas(), 0, -6, 0, -4))
	})
	return err
}

// trendSpan is the range of an axis, with room around the values. It does not
// go below zero where no value does.
func trendSpan(values []float64, withZero bool) (low, high float64) {
	lowest, highest := slices.Min(values), slices.Max(values)
	if withZero {
		lowest, highest = min(lowest, 0), max(highest, 0)
	}
	margin := trendMargin * (highest - lowest)
	if !withZero {
		margin = max(margin, (trendLeast*highest-(highest-lowest))/2)
	}
	bottom := lowest - margin
	if lowest >= 0 {
		bottom = max(bottom, 0)
	}
	low, high, _ = span([]float64{bottom, highest + margin})
	return low, high
}

// zeroLine is a line at zero across a plot.
type zeroLine struct{ on *drawing }

// Plot makes a plotter of it.
func (z zeroLine) Plot(c draw.Canvas, p *plot.Plot) {
	_, y := transforms(c, p)
	zero := y.of(0)
	z.on.strokeLine(stroke(&inkMuted, 0.8), vg.Point{X: c.Min.X, Y: zero}, vg.Point{X: c.Max.X, Y: zero})
}

// joinedDays is the longest time between two points that a line joins: beyond,
// it would suggest a course that nobody measured.
const joinedDays = 28

// marks draws a series as marks, neighbours in time joined by a thin line.
type marks struct {
	on     *drawing
	points []trendPoint
	shape  draw.GlyphDrawer
}

// Plot makes a plotter of it.
func (m marks) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := transforms(c, p)
	m.on.startStroke(stroke(&inkDoubt, 0.6))
	for i, point := range m.points {
		at := vg.Point{X: x.of(float64(point.Day)), Y: y.of(point.Value)}
		if i > 0 && point.Day-m.points[i-1].Day <= joinedDays {
			m.on.lineTo(at)
		} else {
			m.on.moveTo(at)
		}
	}
	glyph := draw.GlyphStyle{Color: &inkOutput, Radius: 3, Shape: m.shape}
	for _, point := range m.points {
		c.DrawGlyph(glyph, vg.Point{X: x.of(float64(point.Day)), Y: y.of(point.Value)})
	}
}

// markKey is a series' mark for the legend in the page.
func markKey(i int) (template.HTML, error) {
	return drawSVG(12, 12, func(d *drawing) {
		c := d.canvas()
		c.DrawGlyph(draw.GlyphStyle{Color: &inkOutput, Radius: 4, Shape: trendMarks[i]}, c.Center())
	})
}

// dayTicks marks Mondays, eight at most.
func dayTicks(low, high float64) []plot.Tick {
	weeks := max(1, math.Ceil((high-low)/7/8))
	var ticks []plot.Tick
	for d := calendar.Date(math.Ceil(low) + 6).Monday(); float64(d) <= high; d += calendar.Date(7 * weeks) {
		ticks = append(ticks, plot.Tick{Value: float64(d), Label: shortDay(d.Time().In(time.UTC))})
	}
	return ticks
}
