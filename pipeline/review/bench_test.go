package review

import (
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"boutwise/metrics"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/tables"
)

// hour is a session of an hour with four bouts of four minutes, as noisy as a
// power meter and a chest strap are.
func hour() SessionData {
	_, data := fixture()
	data.Bouts = nil
	for i := range 4 {
		start := float64(900 + 480*i)
		data.Bouts = append(data.Bouts, fixtureBout(int32(i+1), start, start+240, confirmed, metrics.Even))
	}
	data.Trace = metrics.Trace{N: 3600}
	data.Trace.Power, data.Trace.HeartRate = make([]float64, 3600), make([]float64, 3600)
	noise := rand.New(rand.NewPCG(1, 2))
	heart := 95.0
	for i := range data.Trace.N {
		power, goal := 90.0, 115.0
		for _, b := range data.Bouts {
			if float64(i) >= b.StartS && float64(i) < b.EndS {
				power, goal = 200, 158
			}
		}
		heart += (goal - heart) / 40
		data.Trace.Power[i] = power + 9*noise.NormFloat64()
		data.Trace.HeartRate[i] = math.Round(heart + 0.5*noise.NormFloat64())
	}
	data.Output = data.Trace.Power
	return data
}

// year is a client who trains three times a week for a year, with one session
// of intervals each.
func year() ClientData {
	data, _ := fixture()
	template, bouts := data.Sessions[0], data.Bouts
	monday := mustDay("2025-06-23")
	data.Sessions, data.Bouts, data.Weeks = nil, nil, nil
	for i := range 52 {
		week := monday + calendar.Date(7*i)
		data.Weeks = append(data.Weeks, tables.Week{
			ClientID: hostileID, ISOWeek: week.ISOWeek(), Monday: week, Sessions: 3, Minutes: 110, Prescribed: ptr(int32(3)), Met: ptr(int32(2)),
		})
		for j := range 3 {
			s := template
			s.SessionID = strconv.Itoa(10*i + j)
			s.LocalDate = week + calendar.Date(2*j)
			s.HRDrift = ptr(float64((7*i+3*j)%11) - 3)
			data.Sessions = append(data.Sessions, s)
		}
		for _, b := range bouts {
			b.SessionID, b.MeanPower = strconv.Itoa(10*i), ptr(180+float64(i)/2)
			data.Bouts = append(data.Bouts, b)
		}
	}
	return data
}

// BenchmarkDrawHour is the cost of a session page's drawings.
func BenchmarkDrawHour(b *testing.B) {
	data := hour()
	b.ReportAllocs()
	size := 0
	for b.Loop() {
		trace, err := drawTrace(data, data.Bouts)
		if err != nil {
			b.Fatal(err)
		}
		bouts, err := drawBouts(data, data.Bouts)
		if err != nil {
			b.Fatal(err)
		}
		size = len(trace.SVG)
		for _, bout := range bouts {
			size += len(bout.SVG)
		}
	}
	b.ReportMetric(float64(size), "svg-bytes")
}

func BenchmarkSessionPage(b *testing.B) {
	data := hour()
	b.ReportAllocs()
	size := 0
	for b.Loop() {
		page, err := Session(data)
		if err != nil {
			b.Fatal(err)
		}
		size = len(page.HTML)
	}
	b.ReportMetric(float64(size), "page-bytes")
}

func BenchmarkClientPage(b *testing.B) {
	data := year()
	b.ReportAllocs()
	size := 0
	for b.Loop() {
		page, err := Client(data)
		if err != nil {
			b.Fatal(err)
		}
		size = len(page.HTML)
	}
	b.ReportMetric(float64(size), "page-bytes")
}

// BenchmarkDrawYear is the cost of a client page's drawings.
func BenchmarkDrawYear(b *testing.B) {
	data := year()
	b.ReportAllocs()
	size := 0
	for b.Loop() {
		var view clientView
		if err := view.drawTrends(data); err != nil {
			b.Fatal(err)
		}
		size = len(view.Output.SVG) + len(view.Drift.SVG)
	}
	b.ReportMetric(float64(size), "svg-bytes")
}
