package fit

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"sync"

	"github.com/muktihari/fit/decoder"

	"boutwise/parsers/recording"
)

// normalised is one FIT file rewritten so that the decoder takes it, with what
// was read of it on the way because the decoder would not.
type normalised struct {
	stream   []byte // a complete FIT file
	fileType int    // as its file_id says; -1 without one
	records  int
	messages int // of any kind

	beats     []beat               // heartbeats from messages of their own
	exertions []float64            // one a session message, 0 to 10; NaN where not asked
	pursuits  map[uint16][]pursuit // by message
	salvage   notes
	damaged   bool // bytes are missing, or not as they were written
}

// normaliser rewrites the messages of one FIT file.
//
// It keeps the messages and fields in [profile] and drops the others, turns
// every kept field into the type the decoder expects, developer fields that
// stand for native ones into those, compressed timestamps, speeds and distances
// into plain ones, and leaves out what is damaged.
type normaliser struct {
	lim  recording.Limits
	data []byte // the export
	pos  int    // of the message read next
	end  int    // of the messages

	fileID []byte // the file_id message with its definition
	body   []byte // the other messages

	// A message names its definition by a local number of four bits, which a
	// later definition may take over.
	sources    [16][]byte       // each local number's definition in data
	plans      [16]*plan        // and what it comes to
	written    [16]*plan        // whose definition the decoder knows
	cache      map[string]*plan // by the definition's bytes behind its header
	devs       map[devKey]description
	clock      clock
	distance   uint32 // sum of compressed distances, 1/16 m
	lastStep   uint32 // the latest, 12 bits
	hr         beatReader
	marks      int    // messages other than records
	compressed bool   // the file uses compressed headers
	latest     uint32 // timestamp of a message of the profile; 0 before the first
	searched   int    // bytes searched behind damage

	out normalised
}

// clock is the time reference of compressed timestamps.
type clock struct {
	last uint32 // the latest timestamp, s since the FIT epoch; 0 before the first
}

// set takes a full timestamp.
func (c *clock) set(t uint32) {
	if t != 0xFFFFFFFF {
		c.last = t
	}
}

// advance takes the low five bits of a timestamp, which is less than 32 s
// after the last. Without a reference it gives "not known".
func (c *clock) advance(low byte) uint32 {
	// A recording that begins with compressed times cannot be placed; the
	// records are left out, and counted, later.
	if c.last == 0 {
		return 0xFFFFFFFF
	}
	// Unsigned arithmetic makes the step from 31 to 0 one forward.
	c.last += (uint32(low) - c.last) & 0x1F
	return c.last
}

// Header bits of a message.
const (
	compressedHeader = 0x80
	definitionHeader = 0x40
)

// What stops the message stream beside its own errors.
var (
	errUnsound = errors.New("a definition that cannot be one")
	errAstray  = errors.New("a message out of time")
)

// maxCached bounds the definitions whose plans are kept: devices come back to
// a handful, hostile files to none.
const maxCached = 64

// maxSearch bounds the bytes that are searched behind damage for a place to go
// on, over one file. Messages without definition are some dozens of bytes each.
const maxSearch = 1 << 20

// normalise rewrites the FIT file at x.
func normalise(data []byte, x extent, lim recording.Limits) (*normalised, error) {
	n := &normaliser{
		lim: lim, data: data, pos: x.body, end: x.end,
		cache: map[string]*plan{}, devs: map[devKey]description{},
		body: make([]byte, 0, x.end-x.body),
		out:  normalised{fileType: -1, pursuits: map[uint16][]pursuit{}},
	}
	if x.note != "" {
		n.out.salvage.add("", x.note)
		n.out.damaged = true
	}
	// Each round reads up to the next damage and gets past it.
	for {
		err := n.read()
		// A limit that was passed ends the reading; damage is got past.
		var refused *recording.ParseError
		if errors.As(err, &refused) {
			return nil, err
		}
		// What is left when the size was uncertain may be the checksum.
		if left := x.end - n.pos; left == 0 || left == crcSize && x.end == x.next {
			break
		}
		if !n.skipDamage(err) {
			break
		}
	}
	n.out.stream = n.assemble()
	return &n.out, nil
}

// rawDecoders are kept for reuse: each has a buffer of 130 KB.
var rawDecoders = sync.Pool{New: func() any { return decoder.NewRaw() }}

// read hands messages from pos on to the rewriting until the end or the first
// damage. pos is then behind the last whole message.
func (n *normaliser) read() error {
	raw := rawDecoders.Get().(*decoder.RawDecoder)
	defer rawDecoders.Put(raw)
	// The raw decoder knows no way to begin in the middle of a file, so after
	// damage it is given a new file with the rest.
	src, replayed := n.splice()
	_, err := raw.Decode(src, func(flag decoder.RawFlag, b []byte) error {
		switch {
		case flag == decoder.RawFlagFileHeader:
			return nil
		// The definitions that splice put in front are known here already.
		case replayed > 0:
			replayed--
			return nil
		case flag == decoder.RawFlagCRC:
			return nil
		}
		// The stream's own buffer is overwritten; the export's bytes stay.
		message := n.data[n.pos : n.pos+len(b)]
		var err error
		if flag == decoder.RawFlagMesgDef {
			err = n.define(message)
		} else {
			err = n.message(message)
		}
		if err == nil {
			n.pos += len(b)
		}
		return err
	})
	return err
}

// splice gives the stream that the raw decoder reads from pos on: a header
// with the size there really is, the definitions that hold here (replayed
// tells how many, for it to know them again), and the messages.
func (n *normaliser) splice() (src *splicedReader, replayed int) {
	head := fileHeader(0)
	// In the order of their local numbers, which the decoder does not mind.
	for _, def := range n.sources {
		if def != nil {
			head = append(head, def...)
			replayed++
		}
	}
	rest := n.data[n.pos:n.end]
	size := len(head) - headerSize + len(rest)
	binary.LittleEndian.PutUint32(head[4:], uint32(size))
	return &splicedReader{head, rest}, replayed
}

// splicedReader reads one run of bytes, then another.
type splicedReader [2][]byte

// Read implements [io.Reader].
func (s *splicedReader) Read(p []byte) (int, error) {
	// The second run takes the place of the first once that is used up.
	if len(s[0]) == 0 {
		s[0], s[1] = s[1], nil
	}
	if len(s[0]) == 0 {
		return 0, io.EOF
	}
	n := copy(p, s[0])
	s[0] = s[0][n:]
	return n, nil
}

// define takes a definition.
func (n *normaliser) define(def []byte) error {
	local := def[0] & 0x0F
	// The local number and header bits do not enter the plan, but whether
	// there are developer fields does.
	key := string(def[1:])
	// Devices define the same message anew for every lap; working a plan out
	// costs more than rewriting a message by it.
	p := n.cache[key]
	if p == nil {
		var ok bool
		if p, ok = newPlan(def, n.devs, &n.out.salvage); !ok {
			return errUnsound
		}
		// Emptied rather than aged: it only happens in hostile files.
		if len(n.cache) >= maxCached {
			clear(n.cache)
		}
		n.cache[key] = p
	}
	n.sources[local], n.plans[local] = def, p
	return nil
}

// message takes a data message.
func (n *normaliser) message(b []byte) error {
	local, stamp := b[0]&0x0F, uint32(0)
	isCompressed := b[0]&compressedHeader != 0
	if isCompressed {
		// Two bits of local number, five of time.
		local = b[0] >> 5 & 3
		stamp = n.clock.advance(b[0] & 0x1F)
	}
	// The raw decoder has seen to it that there is one.
	p := n.plans[local]
	n.compressed = n.compressed || isCompressed && p.leavesTime()
	if p.timeAt >= 0 {
		at := p.order.Uint32(b[p.timeAt:])
		if p.known && n.astray(at) {
			return errAstray
		}
		// Messages that are dropped set the reference for those that are not.
		n.clock.set(at)
	}
	// All that is whole counts: a file of settings is no damaged one.
	n.out.messages++
	switch p.message {
	case msgDescription:
		if key, d, ok := newDescription(p, b); ok {
			n.devs[key] = d
			// Plans made before did not know what this field is.
			clear(n.cache)
		}
		return nil
	case msgHR:
		n.out.beats = n.hr.read(p, b, n.out.beats)
		return n.within(len(n.out.beats), n.lim.MaxSamples*maxBeatsPerSample, "heartbeats")
	case msgFileID:
		n.takeFileID(p, b)
		return nil
	case msgSport, msgWorkout:
		n.takePursuit(p, b)
		return nil
	case msgSession:
		// One entry a session message, so that the two stay in step.
		n.out.exertions = append(n.out.exertions, exertion(p, b))
	}
	// Nothing in this message is of use to the decoder or to us.
	if len(p.slots) == 0 {
		return nil
	}
	if err := n.countMessage(p.message); err != nil {
		return err
	}
	out := n.emit(p, local, b)
	// The plan has a slot for the time even where the message brings it in its
	// header.
	if isCompressed {
		n.put(p, out, fieldTimestamp, stamp)
	}
	if p.compressed >= 0 {
		n.expand(p, out, b[p.compressed:p.compressed+3])
	}
	return nil
}

// maxBeatsPerSample bounds the heartbeats of a file in proportion to its
// samples: 240 beats a minute at one sample a second.
const maxBeatsPerSample = 4

// countMessage holds the limits.
func (n *normaliser) countMessage(message uint16) error {
	// Records are the samples, which have a limit of their own.
	if message == msgRecord {
		n.out.records++
		return n.within(n.out.records, n.lim.MaxSamples, "records")
	}
	n.marks++
	return n.within(n.marks, n.lim.MaxMarks, "laps, sessions, events and devices")
}

// within refuses a file that holds more of something than the limit.
func (n *normaliser) within(count, limit int, what string) error {
	if count <= limit {
		return nil
	}
	return &recording.ParseError{
		Format: recording.FIT, Offset: int64(n.pos), Reason: recording.ErrTooLarge,
		Detail: fmt.Sprintf("more than %d %s", limit, what),
		Remedy: "raise the limit if this really is one workout",
	}
}

// emit appends a rewritten message, behind its definition where that is new to
// the decoder, and gives its bytes.
func (n *normaliser) emit(p *plan, local byte, b []byte) []byte {
	// Definitions are written when first used: many that devices write never
	// are, or belong to messages that are dropped.
	if n.written[local] != p {
		start := len(n.body)
		n.body = append(n.body, p.definition...)
		n.body[start] |= local
		n.written[local] = p
	}
	start := len(n.body)
	n.body = append(n.body, p.blank...)
	out := n.body[start:]
	// A plain header, also where the source's was a compressed one.
	out[0] = local
	p.apply(out, b, &n.out.salvage)
	return out
}

// put writes a value into a field of a rewritten message, if it has the field.
func (n *normaliser) put(p *plan, out []byte, num byte, v uint32) {
	if i := p.slotOf(num); i >= 0 {
		p.put(out, i, float64(v))
	}
}

// expand writes the compressed speed and distance of a record into its plain
// fields, where those are empty. The decoder's own expansion keeps its sum in
// a variable shared by all files, and cuts four bits off each distance.
func (n *normaliser) expand(p *plan, out, b []byte) {
	// All ones in all three bytes: not measured.
	if b[0]&b[1]&b[2] == 0xFF {
		return
	}
	speed := uint32(b[0]) | uint32(b[1]&0x0F)<<8 // 1/100 m/s
	step := uint32(b[1]>>4) | uint32(b[2])<<4    // 1/16 m, of a sum that wraps at 12 bits
	n.distance += (step - n.lastStep) & 0xFFF
	// The sum goes on even where the plain field is held, or the next step
	// would count twice.
	n.lastStep = step
	if i := p.slotOf(recordSpeed); !p.anyHeld(out, []int{i}) {
		p.put(out, i, float64(speed)*10)
	}
	if i := p.slotOf(recordDistance); !p.anyHeld(out, []int{i}) {
		p.put(out, i, math.Round(float64(n.distance)*100/16))
	}
}

// takeFileID keeps the first file_id message for the head of the stream.
func (n *normaliser) takeFileID(p *plan, b []byte) {
	if n.fileID != nil || len(p.slots) == 0 {
		return
	}
	// Field 0 of the message is the type.
	if s, ok := p.source[0]; ok && s.size == 1 {
		n.out.fileType = int(b[s.at])
	}
	message := make([]byte, len(p.blank))
	p.apply(message, b, &n.out.salvage)
	n.fileID = append(append([]byte{}, p.definition...), message...)
}
