package review

import (
	"cmp"
	"html/template"
	"slices"
	"strings"

	"boutwise/pipeline/calendar"
)

// arrivedView is the sessions of the last seven days: a row a client, a column
// a day, the newest of both first.
type arrivedView struct {
	Sessions int
	Days     []calendar.Date
	Clients  []arrivedClient
	More     int // clients with sessions who are not in Clients
}

type arrivedClient struct {
	Name   string
	Link   template.URL
	Days   [][]arrivedSession // as the view's days
	newest calendar.Date
}

// arrivedSession is a session in a cell.
type arrivedSession struct {
	SessionLine
	Link     template.URL
	Severity string // of the gravest current finding about it; "" for none
}

const (
	arrivedDays = 7

	// arrivedShown is how many clients stand in the table, those with the
	// newest sessions.
	arrivedShown = 40
)

func viewArrived(data IndexData, rows []clientRow) arrivedView {
	view := arrivedView{}
	for i := range arrivedDays {
		view.Days = append(view.Days, data.AsOf-calendar.Date(i))
	}
	names, severities := map[string]string{}, map[[2]string]string{}
	for _, r := range rows {
		names[r.ClientID] = r.Name
		found := currentFindings(r.Summary, data.AsOf)
		for _, f := range slices.Backward(found) { // the gravest last: it stays
			severities[[2]string{f.ClientID, f.SessionID}] = f.Severity
		}
	}
	at := map[string]int{}
	for _, l := range data.Arrived {
		column := int(data.AsOf - l.Day)
		if column < 0 || column >= arrivedDays {
			continue
		}
		view.Sessions++
		i, known := at[l.ClientID]
		if !known {
			i = len(view.Clients)
			at[l.ClientID] = i
			view.Clients = append(view.Clients, arrivedClient{
				Name: cmp.Or(names[l.ClientID], l.ClientID), Link: clientLink("", l.ClientID), Days: make([][]arrivedSession, arrivedDays),
			})
		}
		c := &view.Clients[i]
		c.newest = max(c.newest, l.Day)
		c.Days[column] = append(c.Days[column], arrivedSession{
			l, sessionLink("", l.ClientID, l.SessionID), severities[[2]string{l.ClientID, l.SessionID}],
		})
	}
	view.sort()
	var rest []arrivedClient
	view.Clients, rest = cut(view.Clients, arrivedShown)
	view.More = len(rest)
	return view
}

func (v *arrivedView) sort() {
	slices.SortStableFunc(v.Clients, func(a, b arrivedClient) int {
		return cmp.Or(cmp.Compare(b.newest, a.newest), strings.Compare(a.Name, b.Name), strings.Compare(string(a.Link), string(b.Link)))
	})
	for _, c := range v.Clients {
		for _, sessions := range c.Days {
			slices.SortFunc(sessions, func(a, b arrivedSession) int { return strings.Compare(a.SessionID, b.SessionID) })
		}
	}
}
