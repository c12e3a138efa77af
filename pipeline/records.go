package pipeline

import (
	"boutwise/metrics"
	"boutwise/pipeline/review"
	"boutwise/pipeline/tables"
)

// What the store keeps. Structs are written as arrays, so a change of fields
// needs a new version below, which makes the next run read or measure anew.
const (
	// readingVersion counts changes of what decoding and cleaning give.
	readingVersion = 1
	// measuringVersion counts changes of what observing and judging give.
	measuringVersion = 1
)

// The states of an export in the files table.
const (
	statusRead      = "read"
	statusSalvaged  = "salvaged"
	statusDuplicate = "duplicate"
	statusDeferred  = "deferred"
	statusRefused   = "refused"
)

// exportRecord is what is known of one file in the inbox.
type exportRecord struct {
	_         struct{} `cbor:",toarray"`
	Version   int
	Size      int64
	ModTimeNS int64
	Position  bool // read with position
	Members   []memberRecord
}

// memberRecord is one export: the file itself, or a member of an archive.
type memberRecord struct {
	_      struct{} `cbor:",toarray"`
	Path   string
	SHA256 string
	Format string
	Status string // read, salvaged, deferred or refused
	Reason string
	Legs   []legRecord
}

// legRecord is one recording, its samples left out: they are in its trace.
type legRecord struct {
	_             struct{} `cbor:",toarray"`
	Leg           int
	Sport         string
	Indoor        bool
	Device        string
	StartUnix     int64
	Seconds       int // of the trace
	Samples       int
	UTCOffsetS    *int
	RatedExertion *float64
	Laps          []lapRecord
	TraceKey      string
	TraceSum      uint32
	Channels      []channelRecord
	Repairs       metrics.Repairs
}

// end is the second after the last.
func (l *legRecord) end() int64 { return l.StartUnix + int64(l.Seconds) }

// lapRecord is one lap of the device, in seconds since the Unix epoch.
type lapRecord struct {
	_          struct{} `cbor:",toarray"`
	Start, End float64
	Pressed    bool // by the client's finger, not by distance or time
}

// channelRecord counts a channel's valid seconds.
type channelRecord struct {
	_       struct{} `cbor:",toarray"`
	Name    string
	Seconds int
}

// sessionRecord is one session as far as it can be known without any fact
// about the client.
type sessionRecord struct {
	_ struct{} `cbor:",toarray"`
	// Inputs is the fingerprint of all that Observation rests on.
	Inputs      string
	Observation Observation
	// Gave names the channels that each source gave, in the order of group.
	Gave [][]string
}

// sessionKey orders a client's sessions by their start.
func sessionKey(client, session string) string { return client + "/" + session }

// Observation is what a session's trace shows by itself. The rows lack the
// columns that need a fact about the client; the counts are what those
// columns are computed from.
type Observation struct {
	_          struct{} `cbor:",toarray"`
	Session    tables.Session
	UTCOffsetS *int // where the client was, as the device knew; nil when it did not
	Bouts      []ObservedBout
	HeartRate  metrics.Counts
	Power      metrics.Counts
	Speed      metrics.Counts
}

// ObservedBout is one bout of an [Observation].
type ObservedBout struct {
	_         struct{} `cbor:",toarray"`
	Row       tables.Bout
	HeartRate metrics.Counts
}

// clientRecord is what a client's published tables rest on. It is removed
// whenever one of the client's exports changes.
type clientRecord struct {
	_ struct{} `cbor:",toarray"`
	// Inputs is the fingerprint of configuration, sessions and day.
	Inputs string
	// Summary and Recent are what the morning page needs of the client.
	Summary review.Summary
	Recent  []review.SessionLine
}

// outputRecord is the state of one published file.
type outputRecord struct {
	_      struct{} `cbor:",toarray"`
	SHA256 string
	Size   int64
	Inputs string // of a page: the fingerprint of what it rests on
}

// clientKey is the key of a client's record; a key must not be empty.
func clientKey(client string) string { return "client/" + client }
