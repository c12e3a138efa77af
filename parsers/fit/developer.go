package fit

import (
	"bytes"
	"fmt"
	"slices"
	"strings"
)

// devKey names a developer field within a file: whose, and which.
type devKey struct{ developer, num byte }

// description is what a field_description message says about a developer
// field.
type description struct {
	name, units   string
	base          base
	scale, offset float64 // value = raw/scale - offset
	nativeMessage uint16  // the message whose field it overrides; 0xFFFF when not said
	nativeField   byte    // the field; 0xFF when it overrides none
}

// newDescription reads a field_description message, given with its header
// byte.
func newDescription(p *plan, message []byte) (devKey, description, bool) {
	bytesOf := func(num byte) []byte {
		s := p.source[num]
		return message[s.at : s.at+s.size]
	}
	// A missing field reads as all ones, which is what "not set" looks like.
	number := func(num byte, missing uint64) uint64 {
		if b := bytesOf(num); len(b) > 0 && len(b) <= 8 && p.source[num].at > 0 {
			return readUint(b, p.order)
		}
		return missing
	}
	text := func(num byte) string {
		s, _, _ := bytes.Cut(bytesOf(num), []byte{0})
		return strings.ToValidUTF8(string(s), "?")
	}
	key := devKey{developer: byte(number(0, 0xFF)), num: byte(number(1, 0xFF))}
	d := description{
		name: text(3), units: text(8), scale: 1,
		nativeMessage: uint16(number(14, 0xFFFF)), nativeField: byte(number(15, 0xFF)),
	}
	n, ok := base(number(2, 0xFF)).number()
	d.base = n
	// A scale of 0 would be a division by it; some writers mean 1.
	if scale := byte(number(6, 0xFF)); scale != 0xFF && scale != 0 {
		d.scale = float64(scale)
	}
	if offset := byte(number(7, 0x7F)); offset != 0x7F {
		d.offset = float64(int8(offset))
	}
	return key, d, ok && n != stringBase
}

// channels are the record fields that a developer field may stand for without
// saying so: what its name and unit leave no doubt about. Developers write
// names as they please; these are compared in lower case, with blanks for
// underscores. Steps a minute are left out: they count both legs with some and
// one with others. Common practice, no source.
var channels = []struct {
	field  byte
	factor float64 // the unit in terms of the profile's
	units  []string
	names  []string
}{
	{recordPower, 1, []string{"watts", "watt", "w"}, []string{"power", "running power", "run power", "rowing power"}},
	{recordHeartRate, 1, []string{"bpm"}, []string{"heart rate", "heartrate", "hr"}},
	{recordCadence, 1, []string{"rpm"}, []string{"cadence"}},
	{recordSpeed, 1, []string{"m/s"}, []string{"speed"}},
	{recordSpeed, 1 / 3.6, []string{"km/h", "kph"}, []string{"speed"}},
	{recordDistance, 1, []string{"m"}, []string{"distance"}},
	{recordGrade, 1, []string{"%"}, []string{"grade", "incline"}},
}

// enhanced maps a record field to the one that holds the same in more bits.
var enhanced = map[byte]byte{recordSpeed: recordEnhancedSpeed, recordAltitude: recordEnhancedAltitude}

// developerField is a developer field of a definition that stands for a field
// of the profile.
type developerField struct {
	from     span
	target   byte
	override bool    // it replaces the native value; else it only stands in
	factor   float64 // its unit in terms of the profile's
	about    description
}

// developerPart gives a definition's developer fields, three bytes each; nFields
// is the number of its other fields.
func developerPart(def []byte, nFields int) []byte {
	const hasDeveloperData = 0x20
	rest := def[6+3*nFields:]
	if def[0]&hasDeveloperData == 0 || len(rest) == 0 {
		return nil
	}
	return rest[1:]
}

// developerSize is how many bytes of a message are developer data.
func developerSize(def []byte, nFields int) (size int) {
	for rest := developerPart(def, nFields); len(rest) >= 3; rest = rest[3:] {
		size += int(rest[1])
	}
	return size
}

// developerFields gives a record definition's developer fields that are read.
func (p *plan) developerFields(def []byte, nFields, at int, devs map[devKey]description) (found []developerField) {
	if p.message != msgRecord {
		return nil
	}
	for rest := developerPart(def, nFields); len(rest) >= 3; rest = rest[3:] {
		// Field number, size, developer.
		size := int(rest[1])
		from := span{at: at, size: size}
		at += size
		about, ok := devs[devKey{developer: rest[2], num: rest[0]}]
		if !ok || size < baseTypes[about.base].size {
			continue
		}
		// The first of several values, as for native fields.
		from.base, from.size = about.base, baseTypes[about.base].size
		if d, ok := about.stand(); ok {
			d.from = from
			found = append(found, d)
		}
	}
	return found
}

// stand tells for which record field a developer field stands, if any.
func (d description) stand() (developerField, bool) {
	if d.nativeField != 0xFF && (d.nativeMessage == msgRecord || d.nativeMessage == 0xFFFF) {
		target := d.nativeField
		// The narrow field, since the decoder lets it win over the wide one.
		for narrow, wide := range enhanced {
			if target == wide {
				target = narrow
			}
		}
		// Only measured quantities have a scale: times and positions cannot be
		// overridden.
		n, ok := profile[msgRecord][target]
		return developerField{target: target, override: true, factor: 1, about: d}, ok && n.scale != 0
	}
	name := strings.ReplaceAll(strings.ToLower(strings.TrimSpace(d.name)), "_", " ")
	units := strings.ToLower(strings.TrimSpace(d.units))
	for _, c := range channels {
		if slices.Contains(c.names, name) && slices.Contains(c.units, units) {
			return developerField{target: c.field, factor: c.factor, about: d}, true
		}
	}
	return developerField{}, false
}

// override makes the plan write a developer field into its native slot. An
// override replaces the native value where it has one itself; a stand-in gives
// way to a native value, in few bits or many.
func (p *plan) override(d developerField, notes *notes) {
	i := p.slotOf(d.target)
	n := p.slots[i].native
	c := change{
		from: d.from, slot: i,
		// value = (raw/scale - offset) * factor, then into the native raw form.
		mul:  d.factor * n.scale / d.about.scale,
		add:  (n.offset - d.about.offset*d.factor) * n.scale,
		note: notes.kind(fmt.Sprintf("developer field %q (%s)", d.about.name, d.about.units), "read as "+recordNames[d.target]),
	}
	if !d.override {
		c.unless = []int{i}
		if wide := p.slotOf(enhanced[d.target]); enhanced[d.target] != 0 && wide >= 0 {
			c.unless = append(c.unless, wide)
		}
	}
	p.changes = append(p.changes, c)
}
