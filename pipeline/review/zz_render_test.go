package review_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"boutwise/pipeline"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/review"
	"boutwise/pipeline/tables"
)

func rd[R any](t *testing.T, tb *tables.Table, c string) []R {
	b, err := os.ReadFile("/tmp/reviewdemo/out/parquet/" + tb.Name + "/client-" + c + ".parquet")
	if err != nil {
		t.Fatal(err)
	}
	rows, err := tables.DecodeParquet[R](tb, b)
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

func TestZZRender(t *testing.T) {
	os.RemoveAll("/tmp/review")
	put := func(p review.Page, err error) {
		if err != nil {
			t.Fatal(err)
		}
		f := filepath.Join("/tmp/review", p.Path)
		os.MkdirAll(filepath.Dir(f), 0o755)
		os.WriteFile(f, p.HTML, 0o644)
	}
	put(review.Style(), nil)
	asOf, _ := calendar.ParseDate("2026-06-21")
	pr, err := practice.Load("/tmp/reviewdemo")
	if err != nil {
		t.Fatal(err)
	}
	idx := review.IndexData{AsOf: asOf}
	n := 0
	var spent time.Duration
	size := 0
	for i, c := range []string{"c101", "c102", "c103", "c104", "c105", "c106", "c107", "c108"} {
		d := review.ClientData{Client: pr.Client(c), Files: rd[tables.File](t, tables.Files, c), Sessions: rd[tables.Session](t, tables.Sessions, c),
			Bouts: rd[tables.Bout](t, tables.Bouts, c), BandTimes: rd[tables.BandTime](t, tables.BandTimes, c), Weeks: rd[tables.Week](t, tables.Weeks, c),
			Progress: rd[tables.Progress](t, tables.Progresses, c), Capacities: rd[tables.Capacity](t, tables.Capacities, c), Findings: rd[tables.Finding](t, tables.Findings, c),
			Prescribed: func(x calendar.Date) []practice.Prescription { return pr.PrescriptionsOn(c, x) }}
		f := func(x float64) *float64 { return &x }
		if len(d.Progress) == 0 {
			d.Progress = []tables.Progress{{ClientID: c, AsOf: asOf, Stage: "base_with_bursts", Suggestion: "first_intervals", Reason: "3 sessions with bursts held evenly and recovered from (needed: 3). Caution: 74 years old, no measured maximal heart rate."}}
			d.Capacities = []tables.Capacity{{ClientID: c, AsOf: asOf, Quantity: "critical_power_w", Value: f(181), Low: f(172), High: f(193), Method: "two-parameter model, inverse time (Monod and Scherrer 1965)", Evidence: "4 efforts of 3 to 12 min within 28 days"}, {ClientID: c, AsOf: asOf, Quantity: "vo2max_ml_kg_min", Method: "extrapolation of heart rate on oxygen cost", Evidence: "refused: heart rate limited by medication"}}
			last := d.Sessions[len(d.Sessions)-1]
			if i%3 == 0 {
				d.Findings = append(d.Findings, tables.Finding{ClientID: c, SessionID: last.SessionID, Date: last.LocalDate, Severity: "urgent", Finding: "hr_high", Message: "Heart rate stayed above the measured maximal rate for 42 s: 176 bpm where 161 is the measured maximum.", Value: f(176), Limit: f(161)})
			}
			if i%2 == 0 {
				d.Findings = append(d.Findings, tables.Finding{ClientID: c, SessionID: last.SessionID, Date: last.LocalDate, Severity: "soon", Finding: "fast_start", Message: "3 of 4 bouts began too fast: the first quarter lay 9 % above the bout's mean.", Value: f(9), Limit: f(5)})
			}
			d.Findings = append(d.Findings, tables.Finding{ClientID: c, Date: asOf, Severity: "note", Finding: "x", Message: "A note."})
		}
		p, err := review.Client(d)
		put(p, err)
		idx.Clients = append(idx.Clients, review.Summarise(d))
		for _, s := range d.Sessions {
			if s.LocalDate >= asOf-1 {
				idx.Arrived = append(idx.Arrived, review.LineOf(s, d.Bouts))
			}
			sd := review.SessionData{Client: d.Client, Session: s, Prescribed: pr.PrescriptionsOn(c, s.LocalDate.Monday())}
			for _, b := range d.Bouts {
				if b.SessionID == s.SessionID {
					sd.Bouts = append(sd.Bouts, b)
				}
			}
			for _, b := range d.BandTimes {
				if b.SessionID == s.SessionID {
					sd.BandTimes = append(sd.BandTimes, b)
				}
			}
			for _, b := range d.Findings {
				if b.SessionID == s.SessionID {
					sd.Findings = append(sd.Findings, b)
				}
			}
			for _, b := range d.Files {
				if b.SessionID == s.SessionID {
					sd.Files = append(sd.Files, b)
				}
			}
			for _, fl := range sd.Files {
				if fl.Status != "read" && fl.Status != "salvaged" {
					continue
				}
				ins, _ := pipeline.Inspect("/tmp/reviewdemo/inbox/"+fl.Path, pr.Settings)
				if len(ins) > 0 {
					sd.Trace, sd.Output = ins[0].Trace, ins[0].Output
				}
			}
			st := time.Now()
			p, err := review.Session(sd)
			spent += time.Since(st)
			n++
			size += len(p.HTML)
			put(p, err)
		}
	}
	st := time.Now()
	p, err := review.Index(idx)
	fmt.Println("index", time.Since(st), len(p.HTML))
	put(p, err)
	fmt.Println("sessions", n, spent/time.Duration(n), size/n)
}
