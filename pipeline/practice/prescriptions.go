package practice

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

const prescriptionsFile = "prescriptions.csv"

var prescriptionColumns = []string{"client_id", "effective_from", "session", "per_week", "minutes", "rounds", "work_s", "recovery_s"}

// sessionKinds lists the words that the column session may hold.
var sessionKinds = []string{string(Base), string(BaseWithBursts), string(Intervals)}

// shortestBurst is the least work in seconds that can be meant. The other
// lengths are those by which sessions are named, see [metrics.KindLimits].
const shortestBurst = 5

// placedPrescription is a prescription with its place.
type placedPrescription struct {
	Prescription
	line int
}

// readPrescriptions reads prescriptions.csv, in the order client, session,
// date.
func (l *loader) readPrescriptions() {
	s := l.readSheet(prescriptionsFile, prescriptionColumns, prescriptionColumns[:4])
	var all []placedPrescription
	for _, r := range s.rows {
		c := cellReader{loader: l, file: s.file, row: r}
		p := placedPrescription{line: r.line}
		p.Client = c.knownClient()
		p.EffectiveFrom, _ = c.date("effective_from")
		p.Session = SessionKind(c.choice("session", sessionKinds))
		p.PerWeek = c.count("per_week", 0, 21, "sessions a week", false)
		p.Minutes = c.optionalNumber("minutes", 1, 600, "minutes")
		c.work(&p.Prescription)
		if !c.bad {
			all = append(all, p)
		}
	}
	slices.SortStableFunc(all, func(a, b placedPrescription) int {
		return cmp.Or(cmp.Compare(a.Client, b.Client), cmp.Compare(a.Session, b.Session), cmp.Compare(a.EffectiveFrom, b.EffectiveFrom))
	})
	for i, p := range all {
		if i > 0 && p.Client == all[i-1].Client && p.Session == all[i-1].Session && p.EffectiveFrom == all[i-1].EffectiveFrom {
			l.report(Problem{prescriptionsFile, p.line, "session",
				fmt.Sprintf("%s for %s from %s already stands in row %d", p.Session, p.Client, p.EffectiveFrom, all[i-1].line),
				"keep one row for each kind of session and day"})
		}
		l.p.Prescriptions = append(l.p.Prescriptions, p.Prescription)
	}
}

// work reads rounds and their lengths, which a base session has none of.
func (c *cellReader) work(p *Prescription) {
	p.WorkS, p.RecoveryS = math.NaN(), math.NaN()
	kinds := c.p.Settings.Kinds
	shortest, longest := 0.0, 0.0
	switch p.Session {
	case BaseWithBursts:
		shortest, longest = shortestBurst, kinds.IntervalFrom-1
	case Intervals:
		shortest, longest = kinds.IntervalFrom, kinds.IntervalTo
	case Base:
		for _, column := range []string{"rounds", "work_s", "recovery_s"} {
			if c.row.cells[column] != "" {
				c.fail(column, "a base session has no rounds", "leave the cell empty, or prescribe base_with_bursts or intervals")
			}
		}
		return
	default:
		return // the unknown word is reported already
	}
	p.Rounds = c.count("rounds", 1, 30, "rounds", true)
	p.WorkS = c.optionalNumber("work_s", shortest, longest, "s of work in "+string(p.Session))
	p.RecoveryS = c.optionalNumber("recovery_s", shortestBurst, 2*kinds.IntervalTo, "s of recovery")
	if p.PerWeek == 0 {
		return // the row ends the prescription
	}
	if total := roundsMinutes(*p); total > p.Minutes {
		c.fail("minutes", fmt.Sprintf("%d rounds take %s minutes, but the session has %s", p.Rounds, brief(total), brief(p.Minutes)),
			"give the minutes of the whole session, warm-up included")
	}
}

// roundsMinutes is the time that the prescribed rounds take, without the last
// recovery; NaN when not all of it is stated.
func roundsMinutes(p Prescription) float64 {
	if p.Rounds == 0 {
		return math.NaN()
	}
	n := float64(p.Rounds)
	return (n*p.WorkS + (n-1)*p.RecoveryS) / 60
}
