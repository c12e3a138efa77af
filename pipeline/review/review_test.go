package review

import (
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"boutwise/metrics"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/tables"
)

// A client whose name and id would break a page or a link that took them as
// they are.
const (
	hostileName = `Ida <script>alert("x")</script> & "Co"`
	hostileID   = "c 1#50%?"
	sessionID   = "20260617T061036Z"
)

var asOf = mustDay("2026-06-21")

func mustDay(s string) calendar.Date {
	d, err := calendar.ParseDate(s)
	if err != nil {
		panic(err)
	}
	return d
}

func ptr[T any](v T) *T { return &v }

// fixture is one client with one interval session of two bouts, a pause after
// them and a stretch that only might be a bout, and one base session.
func fixture() (ClientData, SessionData) {
	start := time.Date(2026, 6, 17, 6, 10, 36, 0, time.UTC)
	s := tables.Session{
		ClientID: hostileID, SessionID: sessionID, StartedUTC: start, LocalDate: mustDay("2026-06-17"),
		Sport: "cycling", Kind: "intervals", DurationS: 1799, RecordedS: 1700, OutputSignal: "power",
		Bouts: 2, PossibleBouts: 1, HRCoverage: 100, PowerCoverage: 100,
	}
	base := tables.Session{
		ClientID: hostileID, SessionID: "20260615T060000Z", StartedUTC: start.AddDate(0, 0, -2),
		LocalDate: mustDay("2026-06-15"), Sport: "cycling", Kind: "base", DurationS: 2400, RecordedS: 2400,
		OutputSignal: "power", HRDrift: ptr(-3.4),
	}
	bouts := []tables.Bout{
		fixtureBout(2, 720, 900, confirmed, metrics.Fade),
		fixtureBout(1, 300, 480, confirmed, metrics.Even),
		fixtureBout(3, 1300, 1400, "possible", metrics.UnknownPacing),
	}
	bands := []tables.BandTime{
		{ClientID: hostileID, SessionID: sessionID, Signal: heartRate, Band: "hard", Lower: 140, Seconds: 600, Share: 35.3},
		{ClientID: hostileID, SessionID: sessionID, Signal: heartRate, Band: "easy", Lower: 0, Upper: ptr(140.0), Seconds: 1100, Share: 64.7},
	}
	files := []tables.File{
		{Path: hostileID + "/a.fit", ClientID: hostileID, SessionID: sessionID, Status: "read", Format: "fit"},
		{Path: hostileID + "/b<b>.tcx", ClientID: hostileID, Status: "refused", Reason: "not an export <i>"},
	}
	findings := []tables.Finding{
		{ClientID: hostileID, Date: asOf - 1, Severity: note, Finding: "n", Message: "a note"},
		{ClientID: hostileID, SessionID: sessionID, Date: asOf - 4, Severity: urgent, Finding: "u", Message: "first <of all>"},
		{ClientID: hostileID, Date: asOf - 40, Severity: soon, Finding: "old", Message: "long past"},
	}
	client := practice.Client{ID: hostileID, Name: hostileName, HRLimitingMedication: true}
	prescribed := []practice.Prescription{
		{Session: practice.Intervals, PerWeek: 1, Minutes: 30, Rounds: 4, WorkS: 180, RecoveryS: 240},
		{Session: practice.Base, PerWeek: 2, Minutes: 40, WorkS: math.NaN(), RecoveryS: math.NaN()},
	}
	week := func(monday string, met int32) tables.Week {
		d := mustDay(monday)
		return tables.Week{
			ClientID: hostileID, ISOWeek: d.ISOWeek(), Monday: d, Sessions: 2, Minutes: 68,
			Prescribed: ptr(int32(3)), Met: ptr(met),
		}
	}
	data := ClientData{
		Client: client, Files: files, Sessions: []tables.Session{base, s}, Bouts: bouts, BandTimes: bands,
		Weeks:    []tables.Week{week("2026-06-15", 2), week("2026-06-08", 0)},
		Progress: []tables.Progress{{ClientID: hostileID, AsOf: asOf, Stage: "intervals", Suggestion: "one_more_round", Reason: "three weeks as prescribed", Caution: "ask the clinician <first>"}},
		Capacities: []tables.Capacity{
			{ClientID: hostileID, AsOf: asOf, Quantity: "critical_power_w", Value: ptr(200.0), Low: ptr(190.0), High: ptr(212.0), Method: "m", Evidence: "e"},
			{ClientID: hostileID, AsOf: asOf - 30, Quantity: "critical_power_w", Value: ptr(150.0), Method: "m", Evidence: "superseded"},
			{ClientID: hostileID, AsOf: asOf, Quantity: "vo2max_ml_kg_min", Method: "m", Evidence: "too few sessions"},
		},
		Findings:   findings,
		Prescribed: func(calendar.Date) []practice.Prescription { return prescribed },
	}
	session := SessionData{
		Client: client, Session: s, Bouts: bouts, Files: files[:1],
	}
	session.Trace, session.Output = fixtureTrace(bouts)
	return data, session
}

func fixtureBout(number int32, start, end float64, confidence string, pacing metrics.Pacing) tables.Bout {
	return tables.Bout{
		ClientID: hostileID, SessionID: sessionID, Bout: number, Kind: "interval", Confidence: confidence,
		Signal: "power", StartS: start, EndS: end, DurationS: end - start, StartUncertainty: 0.5, EndUncertainty: 4,
		MeanPower: ptr(200.0), Quarter1: ptr(104.0), Quarter2: ptr(101.0), Quarter3: ptr(99.0), Quarter4: ptr(96.0),
		Pacing: string(pacing), Recovery: ptr(180.0), RecoveryKind: "passive", LapMatch: ptr(true), WorkToRecovery: ptr(1.0),
	}
}

// fixtureTrace is half an hour at 80 W, 200 W in bouts, with a hole of 100 s.
func fixtureTrace(bouts []tables.Bout) (metrics.Trace, []float64) {
	tr := metrics.Trace{N: 1800}
	tr.Power, tr.HeartRate = make([]float64, tr.N), make([]float64, tr.N)
	for i := range tr.Power {
		tr.Power[i], tr.HeartRate[i] = 80, 110
		for _, b := range bouts {
			if float64(i) >= b.StartS && float64(i) < b.EndS {
				tr.Power[i], tr.HeartRate[i] = 200, 150
			}
		}
		if i >= 1000 && i < 1100 {
			tr.Power[i], tr.HeartRate[i] = math.NaN(), math.NaN()
		}
	}
	return tr, tr.Power
}

// site renders every page of the fixture, by path.
func site(t *testing.T) map[string]string {
	t.Helper()
	data, session := fixture()
	base := SessionData{Client: data.Client, Session: data.Sessions[0]} // without a trace
	pages := map[string]string{}
	add := func(p Page, err error) {
		if err != nil {
			t.Fatal(err)
		}
		if pages[p.Path] != "" {
			t.Fatalf("two pages at %s", p.Path)
		}
		pages[p.Path] = string(p.HTML)
	}
	for _, p := range Shared() {
		add(p, nil)
	}
	add(Facts(data.Client, 2026, []SessionFacts{
		{Session: session.Session, Bouts: data.Bouts, BandTimes: data.BandTimes, Findings: data.Findings[1:2], Prescribed: data.Prescribed(asOf)},
		{Session: base.Session},
	}))
	add(Client(data))
	add(Session(session))
	add(Session(base))
	add(Index(IndexData{
		AsOf: asOf, Clients: []Summary{Summarise(data)}, Arrived: []SessionLine{LineOf(session.Session, session.Bouts)},
		Unplaced: []tables.File{{Path: "stray.gpx", Status: "refused", Reason: "outside any client's folder"}},
	}))
	return pages
}

func TestSameInputSameBytes(t *testing.T) {
	first := site(t)
	for range 3 {
		if diff := cmp.Diff(first, site(t)); diff != "" {
			t.Fatalf("pages differ from one rendering to the next:\n%s", diff)
		}
	}
}

// A page must not depend on the order that rows come in.
func TestOrderOfRowsDoesNotMatter(t *testing.T) {
	data, session := fixture()
	page, err := Client(data)
	if err != nil {
		t.Fatal(err)
	}
	swap := func(n int, swap func(i, j int)) {
		for i := range n / 2 {
			swap(i, n-1-i)
		}
	}
	swap(len(data.Sessions), func(i, j int) { data.Sessions[i], data.Sessions[j] = data.Sessions[j], data.Sessions[i] })
	swap(len(data.Bouts), func(i, j int) { data.Bouts[i], data.Bouts[j] = data.Bouts[j], data.Bouts[i] })
	swap(len(data.BandTimes), func(i, j int) { data.BandTimes[i], data.BandTimes[j] = data.BandTimes[j], data.BandTimes[i] })
	swap(len(data.Weeks), func(i, j int) { data.Weeks[i], data.Weeks[j] = data.Weeks[j], data.Weeks[i] })
	swap(len(data.Findings), func(i, j int) { data.Findings[i], data.Findings[j] = data.Findings[j], data.Findings[i] })
	swapped, err := Client(data)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(page.HTML), string(swapped.HTML)); diff != "" {
		t.Errorf("client's page depends on the order of rows:\n%s", diff)
	}
	straight, err := Session(session)
	if err != nil {
		t.Fatal(err)
	}
	session.Bouts = data.Bouts
	turned, err := Session(session)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(straight.HTML), string(turned.HTML)); diff != "" {
		t.Errorf("session's page depends on the order of rows:\n%s", diff)
	}
}

func TestEmptyInputs(t *testing.T) {
	if _, err := Client(ClientData{Client: practice.Client{ID: "c1"}}); err != nil {
		t.Error("client without rows:", err)
	}
	if _, err := Facts(practice.Client{ID: "c1"}, 2026, nil); err != nil {
		t.Error("facts of no session:", err)
	}
	if _, err := Session(SessionData{Session: tables.Session{ClientID: "c1", SessionID: "s"}}); err != nil {
		t.Error("session without bouts and trace:", err)
	}
	page, err := Index(IndexData{AsOf: asOf})
	if err != nil {
		t.Fatal("index without clients:", err)
	}
	for _, want := range []string{"Nobody:", "No session in the last seven days.", "every export was read"} {
		if !strings.Contains(string(page.HTML), want) {
			t.Errorf("empty index does not say %q", want)
		}
	}
}

func TestSummarise(t *testing.T) {
	data, _ := fixture()
	got := Summarise(data)
	if got.Latest == nil || got.Latest.SessionID != sessionID || got.Latest.Bouts != 2 || got.Latest.Even != 1 {
		t.Errorf("latest session: got %+v, want %s with 1 of 2 bouts even", got.Latest, sessionID)
	}
	if got.Bouts != 2 || got.Even != 1 {
		t.Errorf("bouts held evenly: got %d of %d, want 1 of 2: the possible one does not count", got.Even, got.Bouts)
	}
	var severities []string
	for _, f := range got.Findings {
		severities = append(severities, f.Severity)
	}
	if diff := cmp.Diff([]string{urgent, soon}, severities); diff != "" {
		t.Errorf("findings kept (-want +got):\n%s", diff)
	}
	if len(got.Troubled) != 1 || got.Troubled[0].Status != "refused" {
		t.Errorf("troubled exports: got %v, want the refused one", got.Troubled)
	}
	if len(got.Weeks) != 2 || got.Weeks[0].Monday > got.Weeks[1].Monday {
		t.Errorf("weeks: got %v, want both, oldest first", got.Weeks)
	}
}

// The same finding in session after session is one line; another name is
// another.
func TestFindingsOfOneNameAreOneLine(t *testing.T) {
	var findings []tables.Finding
	for i := range 9 {
		findings = append(findings, tables.Finding{
			ClientID: "c1", SessionID: "s", Severity: soon, Finding: "fast_start", Date: asOf - calendar.Date(i),
		})
	}
	findings = append(findings, tables.Finding{ClientID: "c1", Severity: urgent, Finding: "silent", Date: asOf - 30})
	got := findingLines(findings, "")
	if len(got) != 2 || got[0].Finding.Finding != "silent" {
		t.Fatalf("got %d lines, want the urgent one and the nine of one name as one", len(got))
	}
	line := got[1]
	if line.Date != asOf || len(line.Also) != alsoShown || line.More != 2 || line.Also[0].Day != asOf-1 {
		t.Errorf("got newest %v, %d more days and %d uncounted, want %v, %d and 2", line.Date, len(line.Also), line.More, asOf, alsoShown)
	}
}

// Who needs attention most stands first; an old finding no longer counts.
func TestAttentionOrder(t *testing.T) {
	with := func(id, severity string, ago calendar.Date) Summary {
		return Summary{ClientID: id, Findings: []tables.Finding{{ClientID: id, Severity: severity, Date: asOf - ago, Message: "m"}}}
	}
	page, err := Index(IndexData{AsOf: asOf, Clients: []Summary{
		{ClientID: "calm"}, with("past", urgent, currentDays), with("later", soon, 0), with("older", urgent, 5), with("newer", urgent, 1),
	}})
	if err != nil {
		t.Fatal(err)
	}
	html := string(page.HTML)
	attention := html[strings.Index(html, `class="attention"`):strings.Index(html, `id="kept"`)]
	at := -1
	for _, id := range []string{"newer", "older", "later"} {
		next := strings.Index(attention, id+".html")
		if next <= at {
			t.Errorf("%s is missing or out of place", id)
		}
		at = next
	}
	for _, id := range []string{"calm", "past"} {
		if strings.Contains(attention, id+".html") {
			t.Errorf("%s needs no attention but is listed", id)
		}
	}
}

// The newest estimate of a quantity is shown, an older one is not; one that the
// data could not bear says why.
func TestCapacities(t *testing.T) {
	data, _ := fixture()
	list := viewCapacities(data.Capacities)
	if len(list) != 2 || list[0].Name != "critical power" || tables.Value(list[0].Value) != 200 || list[0].Range == "" {
		t.Fatalf("got %+v, want the newest critical power with its range first", list)
	}
	if list[1].Range != "" || list[1].Evidence == "" {
		t.Errorf("got %+v, want no drawing and the reason", list[1])
	}
}

func BenchmarkSession(b *testing.B) {
	_, data := fixture()
	for b.Loop() {
		if _, err := Session(data); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkIndexOf1000(b *testing.B) {
	data, _ := fixture()
	clients := make([]Summary, 1000)
	for i := range clients {
		clients[i] = Summarise(data)
		clients[i].ClientID = strconv.Itoa(i)
	}
	for b.Loop() {
		if _, err := Index(IndexData{AsOf: asOf, Clients: clients}); err != nil {
			b.Fatal(err)
		}
	}
}
