package review

import (
	"fmt"
	"html/template"
	"math"
	"slices"
	"strconv"

	"boutwise/metrics"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/tables"
)

// weeksView is the table of a client's weeks.
type weeksView struct {
	Bands []bandKey // the bands that minutes are told by, easiest first
	Shown weekList  // newest first
	Older weekList

	Own       bool // some bands are not the default ones
	Estimated bool // some bands rest on a maximal heart rate estimated from age
	Doubt     bool // a sensor is in doubt in some week
}

// bandKey names a band in the table's head, with its colour.
type bandKey struct {
	Band   string
	Swatch template.HTML
}

type weekView struct {
	tables.Week
	Kept    string    // how many of the prescribed sessions were done
	Asked   float64   // minutes prescribed; NaN when no length was stated
	Minutes []float64 // in each band
	Bar     template.HTML
	Doubt   bool // a sensor is in doubt in one of its sessions
}

// weekList is a table of weeks. A client of ten years has some five hundred.
type weekList []weekView

// Rows are its lines.
func (l weekList) Rows() template.HTML { return rowsOf(l) }

func (v weekView) write(row *markup) {
	row.raw(`<tr><th scope="row">`, v.ISOWeek, ` <span class="when">`, shortDay(v.Monday.Time()))
	if v.Doubt {
		row.raw(` ?<span class="unseen"> a sensor is in doubt</span>`)
	}
	row.raw(`</span></th>`)
	row.figure(strconv.Itoa(int(v.Week.Sessions)))
	row.figure(v.Kept)
	row.figure(whole(v.Week.Minutes))
	row.figure(whole(v.Asked))
	row.raw(`<td>`, string(v.Bar), `</td>`)
	for _, minutes := range v.Minutes {
		row.figure(whole(minutes))
	}
	row.figure(strconv.Itoa(int(v.Rounds)))
	row.figure(whole(v.ModerateEquivalent))
	row.figure(whole(v.TrainingImpulse))
	row.raw(`</tr>`)
}

// weeksShown is how many weeks stand open on the page: three months.
const weeksShown = 13

// viewWeeks puts each week's minutes by band of heart rate against what was
// prescribed.
func viewWeeks(data ClientData) weeksView {
	weeks := byMonday(data.Weeks)
	slices.Reverse(weeks)
	names := bandNames(data)
	in, doubts := minutesByBand(data, names), doubtfulWeeks(data)
	longest := 1.0
	var views []weekView
	for _, w := range weeks {
		v := weekView{Week: w, Kept: absent, Asked: askedMinutes(data, w.Monday), Minutes: in[w.Monday], Doubt: doubts[w.Monday]}
		if v.Minutes == nil {
			v.Minutes = make([]float64, len(names))
		}
		if w.Prescribed != nil && w.Met != nil {
			v.Kept = outOf(int(*w.Met), int(*w.Prescribed))
		}
		longest = max(longest, v.Week.Minutes)
		if !math.IsNaN(v.Asked) {
			longest = max(longest, v.Asked)
		}
		views = append(views, v)
	}
	for i := range views {
		views[i].Bar = weekBar(views[i], longest)
	}
	view := weeksView{Doubt: len(doubts) > 0}
	for _, b := range data.BandTimes {
		if b.Signal == heartRate {
			view.Own = view.Own || b.EffectiveFrom != nil
			view.Estimated = view.Estimated || b.Estimated
		}
	}
	view.Shown, view.Older = cut(views, weeksShown)
	for i, name := range names {
		view.Bands = append(view.Bands, bandKey{name, swatch(bandInk(i, len(names)))})
	}
	return view
}

// weekBar is the week's minutes by band, the rest without a heart rate left
// open, and a mark at the minutes prescribed.
func weekBar(v weekView, longest float64) template.HTML {
	var segments []segment
	rest := v.Week.Minutes
	for i, minutes := range v.Minutes {
		segments = append(segments, segment{minutes, bandInk(i, len(v.Minutes))})
		rest -= minutes
	}
	segments = append(segments, segment{rest, inkPage})
	return stackedBar(segments, longest, v.Asked)
}

// askedMinutes is what the prescriptions of a week add up to. Where one of
// them states no length, the sum would be too small, so it is unknown.
func askedMinutes(data ClientData, monday calendar.Date) float64 {
	list := prescribedOn(data, monday)
	if len(list) == 0 {
		return math.NaN()
	}
	sum := 0.0
	for _, p := range list {
		sum += float64(p.PerWeek) * p.Minutes
	}
	return sum
}

func prescribedOn(data ClientData, monday calendar.Date) []practice.Prescription {
	if data.Prescribed == nil {
		return nil
	}
	return data.Prescribed(monday)
}

// bandNames lists the bands of heart rate that the client's sessions know: the
// newest session's set, easiest first, then names that only older sets have.
func bandNames(data ClientData) []string {
	of := map[string][]tables.BandTime{}
	for _, b := range data.BandTimes {
		of[b.SessionID] = append(of[b.SessionID], b)
	}
	var names []string
	for _, s := range newestFirst(data.Sessions) {
		for _, b := range ofSignal(of[s.SessionID], heartRate) {
			if !slices.Contains(names, b.Band) {
				names = append(names, b.Band)
			}
		}
	}
	return names
}

// minutesByBand sums the sessions' time in each named band of heart rate, a
// week.
func minutesByBand(data ClientData, names []string) map[calendar.Date][]float64 {
	monday := map[string]calendar.Date{}
	for _, s := range data.Sessions {
		monday[s.SessionID] = s.LocalDate.Monday()
	}
	sums := map[calendar.Date][]float64{}
	for _, b := range data.BandTimes {
		week, known := monday[b.SessionID]
		if !known || b.Signal != heartRate {
			continue
		}
		if sums[week] == nil {
			sums[week] = make([]float64, len(names))
		}
		sums[week][slices.Index(names, b.Band)] += float64(b.Seconds) / 60
	}
	return sums
}

// doubtfulWeeks are the Mondays of weeks with a session of which a finding
// doubts a sensor.
func doubtfulWeeks(data ClientData) map[calendar.Date]bool {
	doubts, weeks := doubtful(data.Findings), map[calendar.Date]bool{}
	for _, s := range data.Sessions {
		if doubts[s.SessionID] {
			weeks[s.LocalDate.Monday()] = true
		}
	}
	return weeks
}

// asked writes a prescription in words: 2 a week: base, 38 min.
func asked(p practice.Prescription) string {
	text := fmt.Sprintf("%d a week: %s", p.PerWeek, plain(string(p.Session)))
	if !math.IsNaN(p.Minutes) {
		text += ", " + whole(p.Minutes) + " min"
	}
	if p.Rounds > 0 {
		text += ", " + plural(p.Rounds, "round")
	}
	if !math.IsNaN(p.WorkS) {
		text += " of " + clock(p.WorkS)
	}
	if !math.IsNaN(p.RecoveryS) {
		text += " with " + clock(p.RecoveryS) + " easy"
	}
	return text
}

// even tells how a bout's pacing counts.
func even(b tables.Bout) bool { return b.Pacing == string(metrics.Even) }
