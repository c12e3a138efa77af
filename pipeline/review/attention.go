package review

import (
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/tables"
)

// Current gives the urgent and soon findings of the last two weeks, those that
// a client needs the coach for: urgent first, in each the newest first.
func (c Summary) Current(asOf calendar.Date) []tables.Finding { return currentFindings(c, asOf) }

// ByAttention gives the clients in the order of the morning page: those who
// need the coach first, then those who have been away longest.
func ByAttention(clients []Summary, asOf calendar.Date) []Summary {
	rows := make([]clientRow, len(clients))
	for i, c := range clients {
		rows[i] = rowOf(c, asOf)
	}
	sortRows(rows)
	sorted := make([]Summary, len(rows))
	for i, r := range rows {
		sorted[i] = r.Summary
	}
	return sorted
}
