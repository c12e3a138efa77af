package review

import (
	"html/template"

	"boutwise/pipeline/calendar"
	"boutwise/pipeline/tables"
)

// findingLine is the newest of a client's findings of one name. The same thing
// found in session after session is one matter for the coach, not many.
type findingLine struct {
	tables.Finding
	Link template.URL // to the session that it is about; "" for none

	Also []findingDay // earlier ones of the same name, newest first
	More int          // still earlier ones
}

type findingDay struct {
	Day  calendar.Date
	Link template.URL
}

// alsoShown is how many earlier days a line names.
const alsoShown = 6

// findingLines gathers one client's findings by severity and name, the gravest
// first.
func findingLines(findings []tables.Finding, up string) []findingLine {
	type kind struct{ severity, finding string }
	at := map[kind]int{}
	var list []findingLine
	for _, f := range bySeverity(findings) {
		var link template.URL
		if f.SessionID != "" {
			link = sessionLink(up, f.ClientID, f.SessionID)
		}
		i, known := at[kind{f.Severity, f.Finding}]
		switch {
		case !known:
			at[kind{f.Severity, f.Finding}] = len(list)
			list = append(list, findingLine{Finding: f, Link: link})
		case len(list[i].Also) < alsoShown:
			list[i].Also = append(list[i].Also, findingDay{f.Date, link})
		default:
			list[i].More++
		}
	}
	return list
}
