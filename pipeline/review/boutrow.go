package review

import (
	"html/template"
	"strconv"

	"boutwise/pipeline/tables"
	"boutwise/pipeline/units"
)

// boutRow is a bout's line in the table.
type boutRow struct {
	tables.Bout
	Mean     string
	Pace     string // on foot; "" for none
	Question bool   // only might be a bout
}

// boutList is a table of bouts.
type boutList []boutRow

// Rows are its lines.
func (l boutList) Rows() template.HTML { return rowsOf(l) }

// write writes the line, in the order of the table's head.
func (r boutRow) write(row *markup) {
	row.raw(`<tr`)
	if r.Question {
		row.raw(` class="question"`)
	}
	row.raw(`><th scope="row">`, strconv.Itoa(int(r.Bout.Bout)))
	if r.Question {
		row.raw(`? <span class="when">possible</span>`)
	}
	row.raw(` <span class="when">`)
	row.text(plain(r.Kind))
	row.raw(`</span></th><td class="n">`, clock(r.StartS))
	row.small(`± `, num(1, r.StartUncertainty), ` s`)
	row.raw(`</td><td class="n">`, clock(r.DurationS))
	row.small(`end ± `, num(1, r.EndUncertainty), ` s`)
	row.raw(`</td><td class="n">`, r.Mean)
	if r.Pace != "" {
		row.small(r.Pace)
	}
	row.raw(`</td><td class="date">`)
	row.text(plain(r.Pacing))
	row.raw(`</td>`)
	row.figure(num(1, r.SteadinessCV))
	row.figure(num(1, r.Drift))
	row.figure(whole(r.Quarter1) + " · " + whole(r.Quarter2) + " · " + whole(r.Quarter3) + " · " + whole(r.Quarter4))
	row.figure(whole(r.MeanHR) + " / " + whole(r.PeakHR))
	row.raw(`<td class="n near-max">–</td>`)
	row.figure(clock(r.Recovery))
	row.raw(`<td>`)
	row.text(plain(r.RecoveryKind))
	if r.RecoveryOutput != nil {
		row.raw(` <span class="when">`, whole(r.RecoveryOutput), ` %</span>`)
	}
	row.raw(`</td>`)
	row.figure(whole(r.HRRecovery60))
	row.raw(`<td>`, r.lap(), `</td></tr>`)
}

// lap says whether the device's laps agree with the bout.
func (r boutRow) lap() string {
	switch {
	case r.LapMatch == nil:
		return absent
	case *r.LapMatch:
		return "agrees"
	}
	return "differs"
}

// paceOf is the mean speed of a bout on foot as people there say it, with its
// unit; "" for any other bout.
func paceOf(b tables.Bout, system units.System) string {
	if b.Signal != "speed" && b.Signal != "oxygen_cost" {
		return ""
	}
	if pace := system.Pace(tables.Value(b.MeanSpeed)); pace != "" {
		return pace + " " + system.PaceName()
	}
	return ""
}
