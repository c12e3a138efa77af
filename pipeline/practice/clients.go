package practice

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

const clientsFile = "clients.csv"

var clientColumns = []string{"client_id", "name", "birth_year", "sex", "hr_limiting_medication"}

// Bounds of a year of birth: nobody older than the first has been recorded
// training, and the published equations used here are for adults; a younger
// client is more likely a slip of the year.
const (
	earliestBirthYear = 1900
	youngestAge       = 10
)

// everyClient stands for all clients in bands.csv.
const everyClient = "*"

// readClients reads clients.csv and notes every client known: those listed
// and those with a folder in the inbox.
func (l *loader) readClients() {
	s := l.readSheet(clientsFile, clientColumns, clientColumns[:1])
	if s.broken {
		// Who is known cannot be told: one line says so, not one for each row of
		// the other sheets.
		l.known = nil
	}
	lines := map[string]int{} // by id in lower case
	for _, r := range s.rows {
		c := cellReader{loader: l, file: s.file, row: r}
		client := Client{
			ID:        c.clientID(),
			Name:      r.cells["name"],
			BirthYear: c.count("birth_year", earliestBirthYear, l.today.Time().Year()-youngestAge, "", true),
		}
		if r.cells["sex"] != "" {
			client.Sex = Sex(c.choice("sex", []string{string(Female), string(Male)}))
		}
		if r.cells["hr_limiting_medication"] != "" {
			client.HRLimitingMedication = c.choice("hr_limiting_medication", []string{"yes", "no"}) == "yes"
		}
		// Two ids that differ in case only would share a folder on some
		// file systems, and with it each other's exports.
		key := strings.ToLower(client.ID)
		if first, twice := lines[key]; twice && key != "" {
			c.fail("client_id", fmt.Sprintf("%s already stands in row %d", client.ID, first), "give every client one row and an id of their own")
		}
		if client.ID != "" {
			if l.known != nil {
				l.known[client.ID] = true
			}
			lines[key] = r.line
		}
		if !c.bad {
			l.p.Clients = append(l.p.Clients, client)
		}
	}
}

// clientID is a cell with the id of a client, which is also a folder's name.
func (c *cellReader) clientID() string {
	id := c.text("client_id")
	if what := UnusableID(id); id != "" && what != "" {
		c.fail("client_id", fmt.Sprintf("%q %s", id, what), "an id is the name of the client's folder in inbox/, such as c07")
		return ""
	}
	return id
}

// UnusableID says why an id cannot be the name of a client's folder, and of the
// files that are made of it, or "".
func UnusableID(id string) string {
	switch {
	case id == everyClient:
		return "stands for every client and is allowed in " + bandsFile + " only"
	case !utf8.ValidString(id) || strings.ContainsAny(id, `/\:*?"<>|=`) || strings.ContainsFunc(id, unicode.IsControl):
		return "holds a character that a folder's name cannot have"
	case strings.HasPrefix(id, "."):
		return "starts with a dot, which hides its folder"
	case len(id) > 100:
		return "is longer than 100 characters"
	}
	return ""
}

// knownClient is a cell that must name a client in clients.csv or in inbox/.
func (c *cellReader) knownClient() string {
	id := c.clientID()
	if id != "" && c.known != nil && !c.known[id] {
		c.fail("client_id", fmt.Sprintf("unknown client %q%s", id, nearest(id, c.knownIDs())),
			"add the client to "+clientsFile+", or make the folder inbox/"+id)
	}
	return id
}
