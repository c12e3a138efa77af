package review

import (
	"cmp"
	"fmt"
	"html/template"
	"math"
	"path"
	"slices"

	"boutwise/metrics"
	"boutwise/parsers/recording"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/tables"
)

// sessionView is what the template of a session's page shows.
type sessionView struct {
	frame
	Client     practice.Client
	Session    tables.Session
	ClientLink template.URL
	InShort    string
	Trace      *traceView
	Drawn      []boutView
	Bouts      boutList
	Unit       string
	Files      []tables.File
	Facts      string // the file with what rests on the client's facts
}

// Paused is the time, in seconds, from first sample to last that was not
// trained. Trained time counts both ends, duration the steps between.
func (v sessionView) Paused() float64 { return max(0, v.Session.DurationS+1-v.Session.TrainedS()) }

// Session renders a session's page. What rests on facts about the client is
// filled in by a script when the page is opened, from the file of [Facts].
func Session(data SessionData) (Page, error) {
	const up = "../../"
	s := data.Session
	title := capital(kindName(s.Kind)) + ", " + day(s.LocalDate)
	bouts := byNumber(data.Bouts)
	view := sessionView{
		frame:      frame{Up: up, Title: title},
		Client:     data.Client,
		Session:    s,
		ClientLink: clientLink(up, s.ClientID),
		InShort:    inShort(s, bouts),
		Files:      byPath(data.Files),
		Facts:      path.Base(FactsPath(s.ClientID, s.StartedUTC.Year())),
	}
	if slices.ContainsFunc(view.Files, func(f tables.File) bool { return f.Status == salvaged }) {
		view.InShort += " An export had to be salvaged: see the remark under Data quality."
	}
	unit, times, digits := outputUnit(s.OutputSignal, data.Units)
	view.Unit = unit
	for _, b := range bouts {
		view.Bouts = append(view.Bouts, boutRow{
			Bout: b, Mean: num(digits, boutMean(b)*times), Pace: paceOf(b, data.Units), Question: b.Confidence != confirmed,
		})
	}
	var err error
	if view.Trace, err = drawTrace(data, bouts); err == nil {
		view.Drawn, err = drawBouts(data, bouts)
	}
	if err != nil {
		return Page{}, fmt.Errorf("session %s of client %s: %w", s.SessionID, s.ClientID, err)
	}
	return render("session", SessionPath(s.ClientID, s.SessionID), view)
}

func byPath(files []tables.File) []tables.File {
	return slices.SortedStableFunc(slices.Values(files), func(a, b tables.File) int {
		return cmp.Or(cmp.Compare(a.Path, b.Path), cmp.Compare(a.Leg, b.Leg))
	})
}

// kindName is a kind of session as a heading says it.
func kindName(kind string) string {
	switch metrics.SessionKind(kind) {
	case metrics.Base, metrics.Mixed, metrics.Other:
		return plain(kind) + " session"
	}
	return plain(kind)
}

// inShort is the session in two sentences.
func inShort(s tables.Session, bouts []tables.Bout) string {
	sport := capital(plain(s.Sport))
	if s.Sport == string(recording.Other) {
		sport = "Another sport or none named"
	}
	text := fmt.Sprintf("%s, %s recorded.", sport, clock(s.RecordedS))
	sure := sureBouts(bouts)
	switch {
	case len(sure) > 0:
		evenly, paced := 0, 0
		for _, b := range sure {
			if b.Pacing != "" {
				paced++
			}
			if even(b) {
				evenly++
			}
		}
		text += fmt.Sprintf(" %s of %s", capital(plural(len(sure), "bout")), durations(sure))
		if paced > 0 {
			text += fmt.Sprintf(", %s held evenly", outOf(evenly, paced))
		}
		text += "."
	case s.OutputSignal == "":
		text += " No signal covers enough of it to look for bouts."
	case s.PossibleBouts > 0:
		text += " No confirmed bouts."
	default:
		text += " No bouts."
	}
	more := ""
	if len(sure) > 0 {
		more = " more"
	}
	switch n := int(s.PossibleBouts); {
	case n == 1:
		text += fmt.Sprintf(" One%s stretch might be a bout: see the question mark.", more)
	case n > 1:
		text += fmt.Sprintf(" %d%s stretches might be bouts: see the question marks.", n, more)
	}
	return text
}

func sureBouts(bouts []tables.Bout) []tables.Bout {
	var sure []tables.Bout
	for _, b := range bouts {
		if b.Confidence == confirmed {
			sure = append(sure, b)
		}
	}
	return sure
}

// durations writes the range of the bouts' lengths.
func durations(bouts []tables.Bout) string {
	shortest, longest := math.Inf(1), 0.0
	for _, b := range bouts {
		shortest, longest = min(shortest, b.DurationS), max(longest, b.DurationS)
	}
	return clockRange(shortest, longest)
}

func clockRange(low, high float64) string {
	if clock(low) == clock(high) {
		return clock(low)
	}
	return clock(low) + " to " + clock(high)
}
