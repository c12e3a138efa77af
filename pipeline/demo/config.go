package demo

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"strconv"
)

// configFiles writes the coach's own files.
func configFiles(people []client, cal calendar, seed uint64) []file {
	clients := [][]string{{"client_id", "name", "birth_year", "sex", "hr_limiting_medication"}}
	measurements := [][]string{{"client_id", "date", "quantity", "value"}}
	bands := [][]string{{"client_id", "effective_from", "signal", "band", "lower", "unit"}}
	prescriptions := [][]string{{"client_id", "effective_from", "session", "per_week", "minutes", "rounds", "work_s", "recovery_s"}}
	for _, c := range people {
		id := c.who.ID
		medication := "no"
		if c.who.HRLimitingMedication {
			medication = "yes"
		}
		clients = append(clients, []string{id, c.who.Name, strconv.Itoa(c.who.BirthYear), string(c.who.Sex), medication})
		for _, m := range c.measured {
			measurements = append(measurements, []string{id, cal.day(m.week, m.weekday).String(), string(m.quantity), number(m.value)})
		}
		for _, b := range c.bands {
			bands = append(bands, []string{id, cal.day(b.week, b.weekday).String(), string(b.signal), b.name, number(b.lower), b.unit})
		}
		for _, s := range c.steps {
			p := s.prescription(id, cal)
			rounds := ""
			if p.Rounds > 0 {
				rounds = strconv.Itoa(p.Rounds)
			}
			prescriptions = append(prescriptions, []string{
				id, p.EffectiveFrom.String(), string(p.Session), strconv.Itoa(p.PerWeek),
				number(p.Minutes), rounds, number(p.WorkS), number(p.RecoveryS),
			})
		}
	}
	return []file{
		{"practice.toml", fmt.Appendf(nil,
			"# An invented practice (seed %d): no person, place or device in it is real.\ntime_zone = %q\n", seed, zoneName)},
		{"clients.csv", sheet(clients)},
		{"measurements.csv", sheet(measurements)},
		{"bands.csv", sheet(bands)},
		{"prescriptions.csv", sheet(prescriptions)},
	}
}

// number writes a figure as short as it can be; NaN as an empty cell.
func number(v float64) string {
	if math.IsNaN(v) {
		return ""
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// sheet writes rows as CSV. Writing to memory cannot fail.
func sheet(rows [][]string) []byte {
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	w.WriteAll(rows)
	return out.Bytes()
}
