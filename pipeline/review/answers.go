package review

import (
	"cmp"
	"html/template"
	"slices"

	"boutwise/pipeline/calendar"
	"boutwise/pipeline/tables"
)

// answerWeek is what was asked of one week and what came of it.
type answerWeek struct {
	Monday calendar.Date
	Lines  []answerLine
}

// answerLine is one prescribed session, or one that nobody asked for.
type answerLine struct {
	tables.Answer
	Link template.URL // to the session; "" for none
	Day  calendar.Date
}

// answerWeeks is how many weeks are told session by session: this one and the
// three before it. The table of weeks and the sessions' own pages hold the rest.
const answerWeeks = 4

// viewAnswers gathers the newest weeks' answers, newest first; in a week by
// what was asked, sessions in their order.
func viewAnswers(answers []tables.Answer, sessions []tables.Session, up string) []answerWeek {
	days := map[string]calendar.Date{}
	for _, s := range sessions {
		days[s.SessionID] = s.LocalDate
	}
	of := map[calendar.Date][]answerLine{}
	for _, a := range answers {
		line := answerLine{Answer: a}
		if day, known := days[a.SessionID]; known {
			line.Link, line.Day = sessionLink(up, a.ClientID, a.SessionID), day
		}
		of[a.Monday] = append(of[a.Monday], line)
	}
	var weeks []answerWeek
	for monday, lines := range of {
		slices.SortStableFunc(lines, func(a, b answerLine) int {
			return cmp.Or(cmp.Compare(b.Asked, a.Asked), compareLast(a.SessionID, b.SessionID))
		})
		weeks = append(weeks, answerWeek{monday, lines})
	}
	slices.SortFunc(weeks, func(a, b answerWeek) int { return cmp.Compare(b.Monday, a.Monday) })
	weeks, _ = cut(weeks, answerWeeks)
	return weeks
}

// compareLast puts the empty text after every other.
func compareLast(a, b string) int {
	if (a == "") != (b == "") {
		return cmp.Compare(b, a)
	}
	return cmp.Compare(a, b)
}

// Outcome says in words what came of what was asked.
func (l answerLine) Outcome() string {
	switch {
	case l.State == "due":
		return "not yet"
	case l.State == "missed":
		return "missed"
	case l.State == "extra":
		return "not asked for"
	case l.Met != nil && *l.Met:
		return "as asked"
	}
	return "not as asked"
}

// Short tells whether less came than was asked.
func (l answerLine) Short() bool { return l.State == "missed" || l.Met != nil && !*l.Met }

// Minutes sets what was done beside what was asked: 31 of 30. So do the
// others.
func (l answerLine) Minutes() string {
	return against(whole(l.MinutesDone), whole(l.MinutesAsked))
}

// Rounds counts the confirmed bouts.
func (l answerLine) Rounds() string {
	return against(count(l.RoundsDone), count(l.RoundsAsked))
}

// Lengths tells the median bout's length: 3:01 of 3:00.
func (l answerLine) Lengths() string {
	return against(clock(l.BoutDone), clock(l.BoutAsked))
}

// Recoveries tells the median recovery's length.
func (l answerLine) Recoveries() string {
	return against(clock(l.RecoveryDone), clock(l.RecoveryAsked))
}

// Evenly counts the bouts held evenly, of those that could be judged.
func (l answerLine) Evenly() string { return against(count(l.EvenBouts), count(l.JudgedBouts)) }

// against leaves out what was asked where nothing was.
func against(done, asked string) string {
	if asked == absent {
		return done
	}
	return done + " of " + asked
}
