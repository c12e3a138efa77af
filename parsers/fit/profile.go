package fit

import (
	"encoding/binary"
	"math"
)

// Message numbers of the FIT profile that are read.
const (
	msgFileID      = 0
	msgSport       = 12
	msgSession     = 18
	msgLap         = 19
	msgRecord      = 20
	msgEvent       = 21
	msgDeviceInfo  = 23
	msgWorkout     = 26
	msgActivity    = 34
	msgHR          = 132
	msgDescription = 206 // describes a developer field
)

// Field numbers that the code names.
const (
	fieldTimestamp = 253 // of every message that has a time

	recordAltitude         = 2
	recordHeartRate        = 3
	recordCadence          = 4
	recordDistance         = 5
	recordSpeed            = 6
	recordPower            = 7
	recordCompressed       = 8 // speed and distance in 12 bits each
	recordGrade            = 9
	recordEnhancedSpeed    = 73
	recordEnhancedAltitude = 78

	sessionExertion = 193 // newer than the decoder's profile
)

// base is a base type as a definition states it. Its low five bits are the
// type's number; bit 7 repeats that it has more than one byte.
type base byte

// Base types by number, in the order of the protocol.
const (
	enumBase base = iota
	sint8Base
	uint8Base
	sint16Base
	uint16Base
	sint32Base
	uint32Base
	stringBase
	float32Base
	float64Base
	uint8zBase
	uint16zBase
	uint32zBase
	byteBase
	sint64Base
	uint64Base
	uint64zBase
)

// baseType holds what a base type's number stands for.
type baseType struct {
	size     int
	code     byte    // as definitions write it
	min, max float64 // valid values; max excludes the sentinel
	sentinel uint64  // what "not measured" looks like
}

// baseTypes is indexed by number. Sentinels: muktihari/fit profile/basetype.
var baseTypes = [...]baseType{
	enumBase:    {1, 0x00, 0, 0xFE, 0xFF},
	sint8Base:   {1, 0x01, math.MinInt8, 0x7E, 0x7F},
	uint8Base:   {1, 0x02, 0, 0xFE, 0xFF},
	sint16Base:  {2, 0x83, math.MinInt16, 0x7FFE, 0x7FFF},
	uint16Base:  {2, 0x84, 0, 0xFFFE, 0xFFFF},
	sint32Base:  {4, 0x85, math.MinInt32, 0x7FFFFFFE, 0x7FFFFFFF},
	uint32Base:  {4, 0x86, 0, 0xFFFFFFFE, 0xFFFFFFFF},
	stringBase:  {1, 0x07, 0, 0, 0},
	float32Base: {4, 0x88, 0, 0, 0xFFFFFFFF},
	float64Base: {8, 0x89, 0, 0, 0xFFFFFFFFFFFFFFFF},
	uint8zBase:  {1, 0x0A, 1, 0xFF, 0},
	uint16zBase: {2, 0x8B, 1, 0xFFFF, 0},
	uint32zBase: {4, 0x8C, 1, 0xFFFFFFFF, 0},
	byteBase:    {1, 0x0D, 0, 0xFE, 0xFF},
	sint64Base:  {8, 0x8E, 0, 0, 0x7FFFFFFFFFFFFFFF},
	uint64Base:  {8, 0x8F, 0, 0, 0xFFFFFFFFFFFFFFFF},
	uint64zBase: {8, 0x90, 0, 0, 0},
}

// number is the base type's number; ok is false for a byte that is none.
func (b base) number() (base, bool) {
	n := b & 0x1F
	return n, b&0x60 == 0 && int(n) < len(baseTypes)
}

// signed tells whether a base type, by number, is a signed integer.
func (b base) signed() bool {
	return b == sint8Base || b == sint16Base || b == sint32Base || b == sint64Base
}

// floating tells whether a base type, by number, is a floating-point number.
func (b base) floating() bool { return b == float32Base || b == float64Base }

// native is a field of the profile, as the decoder expects it. The value is
// raw/scale - offset in the field's unit.
type native struct {
	base          base
	scale, offset float64
}

// profile lists the fields that are read, by message and field number: the
// decoder sees these and nothing else. Numbers, types and scales: muktihari/fit
// profile/untyped/fieldnum.
var profile = map[uint16]map[byte]native{
	msgFileID: {
		0: {base: enumBase}, 1: {base: uint16Base}, 2: {base: uint16Base}, 3: {base: uint32zBase},
		8: {base: stringBase},
	},
	msgSession: {
		253: {base: uint32Base}, 2: {base: uint32Base}, // end and start
		5: {base: enumBase}, 6: {base: enumBase}, // sport and its kind
		7: {base: uint32Base}, 8: {base: uint32Base}, 9: {base: uint32Base}, // elapsed, timer, distance
		14: {base: uint16Base}, 15: {base: uint16Base}, 124: {base: uint32Base}, 125: {base: uint32Base}, // speed
		16: {base: uint8Base}, 17: {base: uint8Base}, 20: {base: uint16Base}, 21: {base: uint16Base}, // heart rate, power
	},
	msgLap: {
		253: {base: uint32Base}, 2: {base: uint32Base}, 7: {base: uint32Base},
		15: {base: uint8Base}, 19: {base: uint16Base}, // mean heart rate and power
		23: {base: enumBase}, 24: {base: enumBase}, // intensity and trigger
		25: {base: enumBase}, 39: {base: enumBase}, // sport and its kind
	},
	msgRecord: {
		253: {base: uint32Base},
		0:   {base: sint32Base}, 1: {base: sint32Base},
		recordAltitude:  {uint16Base, 5, 500},
		recordHeartRate: {uint8Base, 1, 0},
		recordCadence:   {uint8Base, 1, 0},
		recordDistance:  {uint32Base, 100, 0},
		recordSpeed:     {uint16Base, 1000, 0},
		recordPower:     {uint16Base, 1, 0},
		recordGrade:     {sint16Base, 100, 0},
		13:              {sint8Base, 1, 0},     // temperature
		52:              {uint16Base, 256, 0},  // cadence with its fraction
		53:              {uint8Base, 128, 0},   // cadence's fraction
		73:              {uint32Base, 1000, 0}, // speed and altitude in more bits
		78:              {uint32Base, 5, 500},
	},
	msgEvent:      {253: {base: uint32Base}, 0: {base: enumBase}, 1: {base: enumBase}},
	msgDeviceInfo: {253: {base: uint32Base}, 0: {base: uint8Base}, 2: {base: uint16Base}, 3: {base: uint32zBase}, 4: {base: uint16Base}, 27: {base: stringBase}},
	msgActivity:   {253: {base: uint32Base}, 5: {base: uint32Base}},
}

// messageNames are the profile's words for the messages, for notes.
var messageNames = map[uint16]string{
	msgFileID: "file_id", msgSession: "session", msgLap: "lap", msgRecord: "record",
	msgEvent: "event", msgDeviceInfo: "device_info", msgActivity: "activity",
}

// recordNames are words for the record fields that a developer field can stand
// for, for notes.
var recordNames = map[byte]string{
	recordAltitude: "altitude", recordHeartRate: "heart rate", recordCadence: "cadence", recordDistance: "distance",
	recordSpeed: "speed", recordPower: "power", recordGrade: "grade",
	13: "temperature", 52: "cadence", 53: "fractional cadence",
}

// readUint reads up to eight bytes as an unsigned number.
func readUint(b []byte, order binary.ByteOrder) (v uint64) {
	if order == binary.BigEndian {
		for _, c := range b {
			v = v<<8 | uint64(c)
		}
		return v
	}
	for i := len(b) - 1; i >= 0; i-- {
		v = v<<8 | uint64(b[i])
	}
	return v
}

// writeUint writes the low len(b) bytes of a number.
func writeUint(b []byte, order binary.ByteOrder, v uint64) {
	for i := range b {
		at := i
		if order == binary.BigEndian {
			at = len(b) - 1 - i
		}
		b[at] = byte(v >> (8 * i))
	}
}

// readNumber reads one number of a base type, which b may hold in fewer bytes
// than the type has; ok is false for the sentinel, NaN and infinities.
func readNumber(b []byte, n base, order binary.ByteOrder) (v float64, ok bool) {
	raw := readUint(b, order)
	t := baseTypes[n]
	short := len(b) < t.size
	// The sentinel of a shortened number is all ones in the bytes there are.
	if raw == t.sentinel || short && t.sentinel != 0 && raw == 1<<(8*len(b))-1 {
		return 0, false
	}
	switch {
	case n == float32Base:
		v = float64(math.Float32frombits(uint32(raw)))
	case n == float64Base:
		v = math.Float64frombits(raw)
	case n.signed() && !short:
		shift := 64 - 8*t.size
		v = float64(int64(raw<<shift) >> shift)
	default:
		v = float64(raw)
	}
	return v, !math.IsNaN(v) && !math.IsInf(v, 0)
}
