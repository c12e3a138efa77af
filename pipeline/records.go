package pipeline

import (
	"boutwise/metrics"
	"boutwise/pipeline/review"
	"boutwise/pipeline/store"
	"boutwise/pipeline/tables"
)

// What the store keeps. Structs are written as arrays, so a change of fields
// needs a new version below, which makes the next run read or measure anew.
const (
	// readingVersion counts changes of what decoding and cleaning give.
	readingVersion = 3
	// measuringVersion counts changes of what observing and judging give.
	measuringVersion = 3
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
	Position  bool   // read with position
	Limits    uint32 // checksum of the limits that it was read within
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
	Pauses        []pauseRecord
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

// pauseRecord is a pause that the export tells, in seconds since the Unix
// epoch.
type pauseRecord struct {
	_          struct{} `cbor:",toarray"`
	Start, End float64
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

	// Output is kept apart, and nil until it is asked for.
	Output *outputCounts `cbor:"-"`
}

// outputCounts are the seconds at each power and speed: as many bytes as all
// else that is known of a session, and asked for only where a client has bands
// of power or speed.
type outputCounts struct {
	_            struct{} `cbor:",toarray"`
	Power, Speed packedCounts
}

// packedCounts are counts that are unpacked when they are asked for.
type packedCounts []byte

func pack(c metrics.Counts) packedCounts {
	packed, _ := c.MarshalBinary() // never fails
	return packed
}

// counts unpacks, into room that may be used again; damaged bytes, which the
// store does not give, count nothing.
func (p packedCounts) counts(room metrics.Counts) metrics.Counts {
	if room.UnmarshalBinary(p) != nil {
		return nil
	}
	return room
}

// ObservedBout is one bout of an [Observation].
type ObservedBout struct {
	_         struct{} `cbor:",toarray"`
	Row       tables.Bout
	HeartRate packedCounts
}

// clientRecord is what a client's published tables rest on, and what the
// morning page needs of the client.
type clientRecord struct {
	_        struct{} `cbor:",toarray"`
	Inputs   clientInputs
	Exports  map[string]int // exports by status
	Troubled []tables.File  // those that were not read whole
	Shared   []sharedRecord // sessions whose exports another client has, too
	Summary  review.Summary
	Recent   []review.SessionLine
}

// sharedRecord is a session whose bytes lie in other clients' folders, too.
type sharedRecord struct {
	_       struct{} `cbor:",toarray"`
	Session string
	Others  []string
}

// clientInputs are the fingerprints of what each part of a client's output
// rests on. Facts takes in Recordings; Bands and Review both take in Facts. All
// are empty once one of the client's exports changed.
type clientInputs struct {
	_          struct{} `cbor:",toarray"`
	Recordings string   // the exports' traces and how they are measured: sessions, their pages
	Facts      string   // and the client's measurements: the rows of sessions and bouts
	Bands      string   // and the bands: the time in them
	Review     string   // and all settings, prescriptions and the day: the tables of the review
}

// judgedRecord tells which facts each of a client's sessions was judged by.
type judgedRecord struct {
	_        struct{} `cbor:",toarray"`
	Sessions []string
	Facts    []uint64 // fingerprints, one a session
}

// outputRecord is the state of one published file.
type outputRecord struct {
	_      struct{} `cbor:",toarray"`
	SHA256 string
	Size   int64
	Inputs string // of a page, of samples or of a joined file: the fingerprint of what it rests on
}

// clientKey and judgedKey are the keys of a client's records; a key must not
// be empty.
func clientKey(client string) string { return "client/" + client }
func judgedKey(client string) string { return "judged/" + client }

// markStale makes the next refresh of a client start from its exports.
func markStale(tx *store.Tx, client string) error {
	rec, found, err := store.Get[clientRecord](tx, store.Clients, clientKey(client))
	if err != nil || !found {
		return err
	}
	rec.Inputs = clientInputs{}
	return store.Put(tx, store.Clients, clientKey(client), rec)
}
