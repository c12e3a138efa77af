package review

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"

	"boutwise/pipeline/practice"
	"boutwise/pipeline/tables"
)

// sessionFacts is what the script on a session's page fills in: words and
// figures, ready to be read.
type sessionFacts struct {
	Findings   []findingFact `json:"findings,omitempty"`
	Asked      [][3]string   `json:"asked,omitempty"` // what, asked, done
	Kind       string        `json:"kind"`            // of the session, above Asked
	Others     []string      `json:"others,omitempty"`
	Bands      []bandFacts   `json:"bands,omitempty"`
	NearMax    []string      `json:"nearMax"` // one a bout
	Medication bool          `json:"medication,omitempty"`
	Estimated  bool          `json:"estimated,omitempty"`
}

type findingFact struct {
	Severity string `json:"severity"`
	Message  string `json:"message"`
}

// bandFacts is the time in one signal's bands, easiest first.
type bandFacts struct {
	Caption   string     `json:"caption"`
	Label     string     `json:"label"`
	Estimated bool       `json:"estimated,omitempty"`
	Rows      []bandFact `json:"rows"`
}

type bandFact struct {
	Band  string  `json:"band"`
	Range string  `json:"range"`
	Time  string  `json:"time"`
	Share string  `json:"share"`
	Width float64 `json:"width"` // percent, of the bar
	Ink   string  `json:"ink"`
}

// Facts makes the file with what rests on facts about the client in the pages
// of its sessions that began in one year. It is a script, because a page that
// is opened from disk may load nothing else. A change of bands or measurements
// rewrites a few of these and none of the pages, whose plots are dear.
func Facts(client practice.Client, year int, sessions []SessionFacts) (Page, error) {
	all := make(map[string]sessionFacts, len(sessions))
	for i := range sessions {
		all[sessions[i].Session.SessionID] = factsOf(client, &sessions[i])
	}
	var buf bytes.Buffer
	buf.WriteString("facts(")
	if err := json.NewEncoder(&buf).Encode(all); err != nil {
		return Page{}, fmt.Errorf("facts of client %s: %w", client.ID, err)
	}
	buf.WriteString(");\n")
	return Page{Path: FactsPath(client.ID, year), HTML: buf.Bytes()}, nil
}

func factsOf(client practice.Client, data *SessionFacts) sessionFacts {
	s := data.Session
	f := sessionFacts{
		Kind: plain(s.Kind), Medication: client.HRLimitingMedication, Estimated: s.MaxHREstimated,
		Bands: bandsOf(data.BandTimes), NearMax: make([]string, 0, len(data.Bouts)),
	}
	for _, found := range bySeverity(data.Findings) {
		f.Findings = append(f.Findings, findingFact{found.Severity, sentence(found.Message)})
	}
	bouts := byNumber(data.Bouts)
	for _, b := range bouts {
		f.NearMax = append(f.NearMax, clock(tables.Value(b.NearMaxHR)))
	}
	f.Asked, f.Others = askedAndDone(data.Prescribed, s, bouts)
	return f
}

func bandsOf(rows []tables.BandTime) []bandFacts {
	var sets []bandFacts
	for _, signal := range []string{heartRate, "power", "speed"} {
		list := ofSignal(rows, signal)
		if len(list) == 0 {
			continue
		}
		set := bandFacts{Label: "Time in bands of " + plain(signal), Estimated: list[0].Estimated}
		set.Caption = plain(signal) + ", easiest band first. The default bands."
		if since := list[0].EffectiveFrom; since != nil {
			set.Caption = plain(signal) + ", easiest band first. Bands since " + since.String() + "."
		}
		for i, b := range list {
			set.Rows = append(set.Rows, bandFact{
				Band: plain(b.Band), Range: bandRange(b), Time: clock(float64(b.Seconds)),
				Share: num(1, b.Share), Width: math.Round(10*b.Share) / 10, Ink: bandInk(i, len(list)).variable(),
			})
		}
		sets = append(sets, set)
	}
	return sets
}

// askedAndDone sets the prescription of the session's kind beside what was
// done, and lists the week's other prescriptions. Without one of its kind all
// are others.
func askedAndDone(prescribed []practice.Prescription, s tables.Session, bouts []tables.Bout) (table [][3]string, others []string) {
	for _, p := range prescribed {
		if string(p.Session) != s.Kind || table != nil {
			others = append(others, asked(p))
			continue
		}
		sure := sureBouts(bouts)
		table = [][3]string{{"minutes", num(0, p.Minutes), num(0, s.RecordedS/60)}}
		if p.Rounds > 0 {
			table = append(table, [3]string{"rounds", num(0, float64(p.Rounds)), num(0, float64(len(sure)))})
		}
		if !math.IsNaN(p.WorkS) && len(sure) > 0 {
			table = append(table, [3]string{"length of a bout", clock(p.WorkS), durations(sure)})
		}
		if !math.IsNaN(p.RecoveryS) && len(sure) > 0 {
			table = append(table, [3]string{"recovery between bouts", clock(p.RecoveryS), recoveries(sure)})
		}
	}
	return table, others
}
