package demo

import (
	"time"

	"boutwise/metrics/bouts"
	"boutwise/parsers/recording"
	"boutwise/pipeline/practice"
)

// Truth is what the simulation knows of the practice it wrote. It is written
// nowhere: tests compare it with what the program finds.
type Truth struct {
	TimeZone    string
	FirstMonday string // of week 1, YYYY-MM-DD
	LastMonday  string // of week 12

	Clients  []ClientTruth
	Sessions []SessionTruth // by client, then start
	Files    []FileTruth    // by path
}

// ClientTruth is one client's story and body.
type ClientTruth struct {
	ID, Name string

	// Story names it in a few words; Told is what the demonstration's author
	// scripted, in plain sentences.
	Story, Told string

	// VO2Max is the capacity in each week, in mL/kg/min.
	VO2Max []float64

	// CriticalPower (W) in each week and WorkAboveCP (kJ), for the client who
	// does maximal efforts; empty and 0 for the others.
	CriticalPower []float64
	WorkAboveCP   float64

	// Findings are the problems that were scripted, each in the week in which
	// it is in the data. No other finding above a note belongs to the story.
	Findings []Expected

	// Suggestions are the steps that stand at the end of a week: the
	// prescription follows them in the week after. Some may stand earlier.
	Suggestions []Expected

	// Never lists suggestions that would be wrong in any week.
	Never []string
}

// Expected is something scripted for one week.
type Expected struct {
	Week    int    // from 1
	ISOWeek string // such as 2026-W14
	Name    string // one of the Finding or Suggest constants
}

// SessionTruth is one workout as it was done.
type SessionTruth struct {
	Client   string
	Week     int
	ISOWeek  string
	StartUTC time.Time
	Sport    recording.Sport
	Kind     practice.SessionKind

	// DurationS runs from the first sample written to the last, in seconds.
	// Where the export was cut, WrittenS tells how far it might reach at most;
	// it equals DurationS otherwise.
	DurationS, WrittenS float64

	OutputSignal bouts.Signal
	MeanOutput   float64 // in the signal's unit, over the whole session
	Bouts        []BoutTruth

	MeanHR float64 // beats a minute of the client's heart, whatever the strap made of it
	MaxHR  float64

	// Trouble names what the strap or the export suffered; empty for none.
	Trouble string

	RatedExertion *float64 // 0 to 10, where the device asked

	// Paths are the exports that hold this workout, relative to inbox/.
	Paths []string
}

// BoutTruth is one bout as it was done. Times are seconds from the session's
// first sample; the bout covers [StartS, EndS).
type BoutTruth struct {
	StartS, EndS float64
	MeanOutput   float64
	Quarters     [4]float64 // mean of each quarter over MeanOutput, in percent
	Pacing       string     // the script's word: even or fast_start
	MeanHR       float64    // beats a minute
}

// FileTruth is one export and what ought to become of it.
type FileTruth struct {
	Path   string // relative to inbox/; a member of an archive as bundle.zip/folder/name
	Format recording.Format
	Status string // read, salvaged, duplicate or refused
	Client string
	// StartUTC is the start of the workout in it; zero where it holds none.
	StartUTC time.Time
}

// Findings that the stories script.
const (
	FindingFastStart       = "fast_start"
	FindingBaseAboveBand   = "base_above_band"
	FindingSilent          = "silent_client"
	FindingSensor          = "sensor_trouble"
	FindingTooClose        = "intervals_too_close"
	FindingTooManyInterval = "too_many_interval_sessions"
)

// Suggestions that the stories script, and those they rule out.
const (
	SuggestBaseDay        = "another_base_day"
	SuggestBeginBursts    = "begin_bursts"
	SuggestBeginIntervals = "begin_intervals"
	SuggestMoreRounds     = "one_more_round"
	SuggestLongerBouts    = "longer_bouts"
	SuggestEaseBack       = "ease_back"
)

// gather joins the clients' parts in the order of the cast, which is the
// order of their identifiers.
func gather(people []client, invented []work, cal calendar) *Truth {
	t := &Truth{
		TimeZone:    zoneName,
		FirstMonday: cal.first.String(),
		LastMonday:  cal.day(Weeks, 0).String(),
	}
	for i, c := range people {
		t.Clients = append(t.Clients, c.truth(cal))
		t.Sessions = append(t.Sessions, invented[i].sessions...)
		t.Files = append(t.Files, invented[i].truths...)
	}
	return t
}

// truth is what is scripted for the client.
func (c client) truth(cal calendar) ClientTruth {
	t := ClientTruth{
		ID: c.who.ID, Name: c.who.Name,
		Story: c.tale.story, Told: c.tale.told, Never: c.tale.never,
		Findings:    c.tale.findings.expected(cal),
		Suggestions: c.tale.suggestions.expected(cal),
	}
	for week := 1; week <= Weeks; week++ {
		t.VO2Max = append(t.VO2Max, c.body.inWeek(week).vo2max)
		if c.body.workAboveCP > 0 {
			t.CriticalPower = append(t.CriticalPower, c.body.inWeek(week).criticalPower())
		}
	}
	t.WorkAboveCP = c.body.workAboveCP
	return t
}
