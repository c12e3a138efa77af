package review

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"

	"boutwise/pipeline/practice"
	"boutwise/pipeline/tables"
	"boutwise/pipeline/units"
)

// sessionFacts is what the script on a session's page fills in: words and
// figures, ready to be read.
type sessionFacts struct {
	Findings   []findingFact `json:"findings,omitempty"`
	Asked      [][3]string   `json:"asked,omitempty"` // what, asked, done
	Kind       string        `json:"kind"`            // what was asked for, above Asked
	Verdict    string        `json:"verdict,omitempty"`
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
		Bands: bandsOf(data.BandTimes, data.Units), NearMax: make([]string, 0, len(data.Bouts)),
	}
	for _, found := range bySeverity(data.Findings) {
		f.Findings = append(f.Findings, findingFact{found.Severity, sentence(found.Message)})
	}
	bouts := byNumber(data.Bouts)
	for _, b := range bouts {
		near := absent // of a maximum that medication keeps out of reach
		if !client.HRLimitingMedication {
			near = clock(tables.Value(b.NearMaxHR))
		}
		f.NearMax = append(f.NearMax, near)
	}
	f.Asked, f.Verdict, f.Others = askedAndDone(data.Answer), verdict(data.Answer), others(data.Prescribed, data.Answer)
	if data.Answer != nil && data.Answer.Asked != "" {
		f.Kind = plain(data.Answer.Asked)
	}
	return f
}

func bandsOf(rows []tables.BandTime, system units.System) []bandFacts {
	var sets []bandFacts
	for _, signal := range []string{heartRate, "power", "speed"} {
		list := ofSignal(rows, signal)
		if len(list) == 0 {
			continue
		}
		set := bandFacts{Label: "Time in bands of " + plain(signal), Estimated: list[0].Estimated}
		set.Caption = capital(plain(signal)) + ", easiest band first. The default bands."
		if since := list[0].EffectiveFrom; since != nil {
			set.Caption = capital(plain(signal)) + ", easiest band first. Bands since " + since.String() + "."
		}
		for i, b := range list {
			set.Rows = append(set.Rows, bandFact{
				Band: plain(b.Band), Range: bandRange(b, system), Time: clock(float64(b.Seconds)),
				Share: num(1, b.Share), Width: math.Round(10*b.Share) / 10, Ink: bandInk(i, len(list)).variable(),
			})
		}
		sets = append(sets, set)
	}
	return sets
}

// verdict says in words how a session stands to what was asked.
func verdict(a *tables.Answer) string {
	switch {
	case a == nil:
		return ""
	case a.Asked == "":
		return "Not asked for."
	case a.Shortfall != "":
		return "Not as asked: " + sentence(a.Shortfall)
	case a.Met != nil && *a.Met:
		return "As asked, in every respect that could be judged."
	}
	return ""
}

// askedAndDone sets what was asked of a session beside what was done; none
// without an answer to something asked.
func askedAndDone(a *tables.Answer) (table [][3]string) {
	if a == nil || a.Asked == "" {
		return nil
	}
	add := func(what, asked, done string) {
		if asked != absent || done != absent {
			table = append(table, [3]string{what, asked, done})
		}
	}
	add("minutes", whole(a.MinutesAsked), whole(a.MinutesDone))
	add("rounds", count(a.RoundsAsked), count(a.RoundsDone))
	add("length of a bout, median", clock(a.BoutAsked), clock(a.BoutDone))
	if a.JudgedBouts != nil && a.EvenBouts != nil && *a.JudgedBouts > 0 {
		add("held evenly", absent, outOf(int(*a.EvenBouts), int(*a.JudgedBouts)))
	}
	add("recovery, median", clock(a.RecoveryAsked), clock(a.RecoveryDone))
	add("output in recovery, % of the bout’s", absent, whole(a.RecoveryOutput))
	add("minutes at the heart rates meant for it", absent, whole(a.BandMinutes))
	return table
}

// others lists what else was prescribed for the week of a session.
func others(prescribed []practice.Prescription, a *tables.Answer) (list []string) {
	for _, p := range prescribed {
		if a == nil || string(p.Session) != a.Asked {
			list = append(list, asked(p))
		}
	}
	return list
}
