package review

import (
	"cmp"
	"slices"

	"boutwise/metrics"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/tables"
	"boutwise/pipeline/units"
)

// ClientData is all that a client's page rests on.
type ClientData struct {
	Units  units.System // that speeds are shown in
	Client practice.Client

	// The client's rows of every table.
	Files      []tables.File
	Sessions   []tables.Session
	Bouts      []tables.Bout
	BandTimes  []tables.BandTime
	Weeks      []tables.Week
	Answers    []tables.Answer   // the newest weeks' are shown
	Progress   []tables.Progress // the newest is shown
	Capacities []tables.Capacity // the newest of each quantity is shown
	Findings   []tables.Finding

	// Prescribed gives what was prescribed to the client on a day, as
	// Practice.PrescriptionsOn does. It is asked for the Mondays in Weeks, the
	// last of which holds for the page. Nil for no prescriptions.
	Prescribed func(day calendar.Date) []practice.Prescription
}

// SessionData is all that a session's page rests on. Nothing in it depends on
// facts about the client; what does comes from [Facts].
type SessionData struct {
	Units units.System // that speeds are shown in

	Client  practice.Client // id and name are shown
	Session tables.Session
	Bouts   []tables.Bout
	Files   []tables.File // the exports that the session is made of, duplicates too

	Trace metrics.Trace

	// Output is the signal that bouts were looked for in, one value a second of
	// the trace, in the unit of Session.OutputSignal: W, mL/kg/min or m/s. Nil
	// where there is none or where it is the heart rate.
	Output []float64
}

// SessionFacts is what in a session's page rests on facts about the client.
type SessionFacts struct {
	Units units.System // that speeds are shown in

	Session   tables.Session
	Bouts     []tables.Bout
	BandTimes []tables.BandTime
	Findings  []tables.Finding

	// Answer is how the session stands to what was asked; nil where it was not
	// put against anything, as one later than the review's day is not.
	Answer *tables.Answer

	// Prescribed is what was prescribed on the Monday of the session's week,
	// the day that the weeks are counted by.
	Prescribed []practice.Prescription
}

// IndexData is all that the morning page rests on.
type IndexData struct {
	AsOf    calendar.Date
	Clients []Summary

	// Arrived are the sessions of the last seven days.
	Arrived []SessionLine

	// Unplaced are exports that lie outside any client's folder.
	Unplaced []tables.File

	// Exports counts all exports by status.
	Exports map[string]int
}

// Summary is what the morning page needs to know of one client. It holds plain
// values only, and depends on no clock.
type Summary struct {
	ClientID   string
	Name       string
	Stage      string
	Suggestion string
	Reason     string
	Caution    string           // what to mind before following the suggestion; "" for none
	Sessions   int              // all of them
	Latest     *SessionLine     // nil without sessions
	Weeks      []tables.Week    // the newest few, oldest first
	Findings   []tables.Finding // urgent and soon, the newest of each first
	Troubled   []tables.File    // exports that were not read whole
	Bouts      int              // confirmed bouts with a pacing, in the newest weeks
	Even       int              // those of them that were held evenly
}

// SessionLine is a session in one line.
type SessionLine struct {
	ClientID  string
	SessionID string
	Day       calendar.Date
	Kind      string
	Sport     string
	Minutes   float64 // recorded
	Bouts     int     // confirmed
	Paced     int     // those of them whose pacing is known
	Even      int     // those of them that were held evenly
}

const (
	// summaryWeeks is how many weeks a Summary keeps: this one and the four
	// full ones before it.
	summaryWeeks = 5

	// summaryFindings is how many findings of one name a Summary keeps: those
	// of two weeks with a session on most days.
	summaryFindings = 10
)

// LineOf puts a session in one line. bouts may hold other sessions' too.
func LineOf(s tables.Session, bouts []tables.Bout) SessionLine {
	line := SessionLine{
		ClientID: s.ClientID, SessionID: s.SessionID, Day: s.LocalDate,
		Kind: s.Kind, Sport: s.Sport, Minutes: s.TrainedS() / 60,
	}
	for _, b := range bouts {
		if b.SessionID == s.SessionID && b.Confidence == confirmed {
			line.count(b)
		}
	}
	return line
}

func (l *SessionLine) count(b tables.Bout) {
	l.Bouts++
	if b.Pacing != "" {
		l.Paced++
	}
	if b.Pacing == string(metrics.Even) {
		l.Even++
	}
}

// lines puts sessions in a line each, in their order.
func lines(sessions []*tables.Session, bouts []tables.Bout) []SessionLine {
	at := make(map[string]int, len(sessions))
	all := make([]SessionLine, len(sessions))
	for i, s := range sessions {
		at[s.SessionID], all[i] = i, LineOf(*s, nil)
	}
	for _, b := range bouts {
		if i, known := at[b.SessionID]; known && b.Confidence == confirmed {
			all[i].count(b)
		}
	}
	return all
}

// Summarise keeps of a client what the morning page needs.
func Summarise(data ClientData) Summary {
	sum := Summary{ClientID: data.Client.ID, Name: data.Client.Name, Sessions: len(data.Sessions)}
	if p := latestProgress(data.Progress); p != nil {
		sum.Stage, sum.Suggestion, sum.Reason, sum.Caution = p.Stage, p.Suggestion, p.Reason, p.Caution
	}
	weeks := byMonday(data.Weeks)
	sum.Weeks = slices.Clone(weeks[max(0, len(weeks)-summaryWeeks):])
	for i, line := range lines(newestFirst(data.Sessions), data.Bouts) {
		if i == 0 {
			sum.Latest = &line
		}
		if len(sum.Weeks) > 0 && line.Day >= sum.Weeks[0].Monday {
			sum.Bouts += line.Paced
			sum.Even += line.Even
		}
	}
	kept := map[string]int{} // by name
	for _, f := range bySeverity(data.Findings) {
		if kept[f.Finding]++; f.Severity != note && kept[f.Finding] <= summaryFindings {
			sum.Findings = append(sum.Findings, f)
		}
	}
	sum.Troubled = Troubled(data.Files)
	return sum
}

// The words of the tables that pages decide by.
const (
	confirmed = "confirmed"

	// salvaged is the status of an export that was read in spite of a fault.
	salvaged = "salvaged"

	urgent = "urgent"
	soon   = "soon"
	note   = "note"

	heartRate = "heart_rate"
)

// Troubled are the exports that the coach may have to ask for again.
func Troubled(files []tables.File) []tables.File {
	var list []tables.File
	for _, f := range files {
		if f.Status != "read" && f.Status != "duplicate" {
			list = append(list, f)
		}
	}
	slices.SortStableFunc(list, func(a, b tables.File) int {
		return cmp.Or(cmp.Compare(a.Path, b.Path), cmp.Compare(a.Leg, b.Leg))
	})
	return list
}

// bySeverity sorts findings: urgent, soon, note; in each the newest first.
func bySeverity(findings []tables.Finding) []tables.Finding {
	order := make([]*tables.Finding, len(findings)) // rows are wide
	for i := range findings {
		order[i] = &findings[i]
	}
	slices.SortStableFunc(order, func(a, b *tables.Finding) int {
		return cmp.Or(cmp.Compare(rankOf(a.Severity), rankOf(b.Severity)), cmp.Compare(b.Date, a.Date),
			cmp.Compare(a.Finding, b.Finding), cmp.Compare(a.SessionID, b.SessionID), cmp.Compare(a.Message, b.Message))
	})
	sorted := make([]tables.Finding, len(order))
	for i, f := range order {
		sorted[i] = *f
	}
	return sorted
}

// rankOf orders severities, the gravest first.
func rankOf(severity string) int { return slices.Index([]string{urgent, soon, note}, severity) }

// newestFirst orders sessions by pointer: their rows are wide.
func newestFirst(sessions []tables.Session) []*tables.Session {
	sorted := make([]*tables.Session, len(sessions))
	for i := range sessions {
		sorted[len(sessions)-1-i] = &sessions[i]
	}
	slices.SortStableFunc(sorted, func(a, b *tables.Session) int {
		return cmp.Or(b.StartedUTC.Compare(a.StartedUTC), cmp.Compare(b.SessionID, a.SessionID))
	})
	return sorted
}

func byMonday(weeks []tables.Week) []tables.Week {
	return slices.SortedStableFunc(slices.Values(weeks), func(a, b tables.Week) int { return cmp.Compare(a.Monday, b.Monday) })
}

func latestProgress(rows []tables.Progress) *tables.Progress {
	var latest *tables.Progress
	for i := range rows {
		if latest == nil || rows[i].AsOf > latest.AsOf {
			latest = &rows[i]
		}
	}
	return latest
}
