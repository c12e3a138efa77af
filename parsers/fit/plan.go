package fit

import (
	"encoding/binary"
	"fmt"
	"math"
)

// plan says how the messages of one definition are rewritten. It is worked out
// once a definition and applied to every message of it.
type plan struct {
	message uint16
	order   binary.ByteOrder
	source  map[byte]span // the definition's fields, by number
	timeAt  int           // where a message holds its timestamp; -1 for nowhere

	sourceSize int  // of a message, header byte included
	known      bool // the message is one that is read

	// The rest is for messages that the decoder gets; slots is empty for others.
	definition []byte // as the decoder gets it, header included
	slots      []slot
	blank      []byte // a message with every field missing, header included
	moves      []move
	changes    []change
	compressed int // where a record holds compressed speed and distance; -1 for nowhere
}

// span is a field in a source message: at counts from the header byte.
type span struct {
	at, size int
	base     base
}

// slot is a field of the message that the decoder gets.
type slot struct {
	num    byte
	native native
	at     int
	size   int
}

// move copies bytes unchanged.
type move struct{ from, to, size int }

// change reads one number and writes it into a slot in the slot's own type:
// raw = round(value*mul + add). A missing or unfitting value leaves the slot.
type change struct {
	from     span
	mul, add float64
	slot     int
	unless   []int // slots of which none may hold a value already
	note     int   // counted when it applies; -1 for none
}

// field is one entry of a definition: 3 bytes a field.
type field struct {
	num  byte
	at   int
	size int
	base base
}

// newPlan works out a definition, given with its header byte. It tells whether
// the definition is sound.
func newPlan(def []byte, devs map[devKey]description, notes *notes) (*plan, bool) {
	// Header, a reserved byte, byte order, message number, number of fields.
	if len(def) < 6 || def[2] > 1 {
		return nil, false
	}
	p := &plan{order: binary.LittleEndian, source: map[byte]span{}, timeAt: -1, compressed: -1}
	if def[2] == 1 {
		p.order = binary.BigEndian
	}
	p.message = p.order.Uint16(def[3:5])
	fields := make([]field, def[5])
	at := 1 // behind the header byte
	for i := range fields {
		b := def[6+3*i:]
		fields[i] = field{num: b[0], at: at, size: int(b[1]), base: base(b[2])}
		n, ok := fields[i].base.number()
		if !ok {
			return nil, false
		}
		p.source[b[0]] = span{at: at, size: int(b[1]), base: n}
		at += int(b[1])
	}
	if s, ok := p.source[fieldTimestamp]; ok && s.size == 4 {
		p.timeAt = s.at
	}
	if p.message == 0xFFFF { // the sentinel of message numbers
		return nil, false
	}
	p.sourceSize = at + developerSize(def, len(fields))
	if known := profile[p.message]; known != nil {
		p.known = true
		p.compile(def, fields, known, at, devs, notes)
	}
	return p, true
}

// compile lays out the message that the decoder gets. devAt is where developer
// fields begin in a source message.
func (p *plan) compile(def []byte, fields []field, known map[byte]native, devAt int, devs map[devKey]description, notes *notes) {
	// The timestamp comes first and always has a place: a compressed header
	// may bring it, and the decoder takes the local time of an activity
	// message relative to the timestamp it saw last.
	if n, ok := known[fieldTimestamp]; ok {
		p.addSlot(fieldTimestamp, n, 0)
	}
	for _, f := range fields {
		switch n, ok := known[f.num]; {
		case ok && p.readable(f, n):
			p.addSlot(f.num, n, f.size)
		case ok && f.size > 0 && p.source[f.num].at == f.at:
			notes.add(p.fieldName(f), "not of the profile's type, left out")
		}
	}
	// Developer fields and compressed values need the fields that they stand for.
	developer := p.developerFields(def, len(fields), devAt, devs)
	for _, d := range developer {
		p.addSlot(d.target, known[d.target], 0)
	}
	if s, ok := p.source[recordCompressed]; ok && p.message == msgRecord && s.size == 3 {
		p.compressed = s.at
		p.addSlot(recordSpeed, known[recordSpeed], 0)
		p.addSlot(recordDistance, known[recordDistance], 0)
	}
	p.layOut()
	// The record's own fields first, so that developer fields find their values
	// in place and can give way to them or replace them.
	for _, f := range fields {
		if i := p.slotOf(f.num); i >= 0 && p.readable(f, p.slots[i].native) {
			p.feed(f, i, notes)
		}
	}
	for _, d := range developer {
		p.override(d, notes)
	}
}

// readable tells whether a field of a definition can be read as the profile's
// type: text as text, whole numbers as whole numbers. Of a field that stands
// twice the later counts, as it does for the decoder.
func (p *plan) readable(f field, n native) bool {
	s := p.source[f.num]
	text := n.base == stringBase
	return f.size > 0 && s.at == f.at && (s.base == stringBase) == text && !s.base.floating()
}

// leavesTime tells whether a message has a time but its definition none, so
// that the header must bring it.
func (p *plan) leavesTime() bool { return p.timeAt < 0 && p.slotOf(fieldTimestamp) >= 0 }

// addSlot makes room for a field once. size is that of the source, which only
// strings keep.
func (p *plan) addSlot(num byte, n native, size int) {
	if p.slotOf(num) >= 0 {
		return
	}
	if n.base != stringBase {
		size = baseTypes[n.base].size
	}
	p.slots = append(p.slots, slot{num: num, native: n, size: size})
}

// slotOf finds a field's slot; -1 when it has none.
func (p *plan) slotOf(num byte) int {
	for i := range p.slots {
		if p.slots[i].num == num {
			return i
		}
	}
	return -1
}

// layOut places the slots and writes definition and blank message. The local
// number is set when they are emitted.
func (p *plan) layOut() {
	arch := byte(0)
	if p.order == binary.BigEndian {
		arch = 1
	}
	p.definition = append(p.definition, 0x40, 0, arch, 0, 0, byte(len(p.slots)))
	p.order.PutUint16(p.definition[3:], p.message)
	p.blank = append(p.blank, 0)
	for i := range p.slots {
		s := &p.slots[i]
		s.at = len(p.blank)
		// The profile's type, whatever the source's: the decoder takes no other.
		t := baseTypes[s.native.base]
		p.definition = append(p.definition, s.num, byte(s.size), t.code)
		p.blank = append(p.blank, make([]byte, s.size)...)
		if s.native.base != stringBase {
			writeUint(p.blank[s.at:s.at+s.size], p.order, t.sentinel)
		}
	}
}

// feed fills a slot from the source's own field: unchanged where the types
// agree, number by number where they do not.
func (p *plan) feed(f field, i int, notes *notes) {
	s := &p.slots[i]
	from, want := p.source[f.num], baseTypes[s.native.base]
	if s.native.base == stringBase || f.size == want.size && sameKind(from.base, s.native.base) {
		p.addMove(move{from: from.at, to: s.at, size: s.size})
		return
	}
	c := change{from: from, mul: 1, slot: i, note: -1}
	is := baseTypes[from.base].size
	what := p.fieldName(f)
	switch {
	case f.size < is || f.size%is != 0:
		// Shorter than its own type: muktihari/fit pads such a number, and so
		// do we. A longer one that is no multiple has its first bytes read.
		c.from.size = min(f.size, is)
		c.note = notes.kind(what, "has fewer bytes than its own type, read as far as it goes")
	case f.size > is:
		c.from.size = is
		c.note = notes.kind(what, "more values than the profile has, the first kept")
	// Narrower numbers lose nothing and are no repair.
	case is > want.size:
		c.note = notes.kind(what, "wider than in the profile, narrowed")
	}
	p.changes = append(p.changes, c)
}

// fieldName names a field in a note.
func (p *plan) fieldName(f field) string {
	return fmt.Sprintf("field %d of the %s message", f.num, messageNames[p.message])
}

// sameKind tells whether two base types of one size hold the same bytes for
// the same number.
func sameKind(a, b base) bool {
	// Types ending in z have 0 for "not measured", where others have all ones.
	zero := func(n base) bool { return baseTypes[n].sentinel == 0 }
	return a.signed() == b.signed() && a.floating() == b.floating() && zero(a) == zero(b)
}

// addMove adds a move, as a longer one where it continues the last.
func (p *plan) addMove(m move) {
	if n := len(p.moves); n > 0 {
		last := &p.moves[n-1]
		if last.from+last.size == m.from && last.to+last.size == m.to {
			last.size += m.size
			return
		}
	}
	p.moves = append(p.moves, m)
}

// apply rewrites one message into out, which is as long as p.blank.
func (p *plan) apply(out, message []byte, notes *notes) {
	// What nothing is written to stays "not measured".
	copy(out[1:], p.blank[1:])
	for _, m := range p.moves {
		copy(out[m.to:m.to+m.size], message[m.from:])
	}
	for i := range p.changes {
		c := &p.changes[i]
		v, ok := readNumber(message[c.from.at:c.from.at+c.from.size], c.from.base, p.order)
		if !ok || p.anyHeld(out, c.unless) {
			continue
		}
		if p.put(out, c.slot, math.Round(v*c.mul+c.add)) && c.note >= 0 {
			notes.count(c.note)
		}
	}
}

// put writes a raw value into a slot, if the slot's type can hold it.
func (p *plan) put(out []byte, i int, raw float64) bool {
	s := &p.slots[i]
	t := baseTypes[s.native.base]
	// Also false for NaN.
	if !(raw >= t.min && raw <= t.max) {
		return false
	}
	writeUint(out[s.at:s.at+s.size], p.order, uint64(int64(raw)))
	return true
}

// anyHeld tells whether any of the slots holds a value.
func (p *plan) anyHeld(out []byte, slots []int) bool {
	for _, i := range slots {
		s := &p.slots[i]
		if readUint(out[s.at:s.at+s.size], p.order) != baseTypes[s.native.base].sentinel {
			return true
		}
	}
	return false
}
