package fit

import (
	"bytes"
	"encoding/binary"
	"math"
	"testing"

	"github.com/muktihari/fit/decoder"
	reference "github.com/muktihari/fit/kit/hash/crc16"
)

// builder writes FIT files message by message, right or wrong, for tests. It
// shares nothing with the code under test.
type builder struct{ body []byte }

// fieldDef is one field of a definition: number, size, base type.
type fieldDef [3]byte

// Base types as definitions write them.
const (
	tEnum    = 0x00
	tSint8   = 0x01
	tUint8   = 0x02
	tSint16  = 0x83
	tUint16  = 0x84
	tSint32  = 0x85
	tUint32  = 0x86
	tString  = 0x07
	tFloat32 = 0x88
	tUint32z = 0x8C
	tByte    = 0x0D
)

// define writes a little-endian definition; devs are developer fields, whose
// third byte is the developer's index.
func (b *builder) define(local byte, message uint16, fields []fieldDef, devs ...fieldDef) *builder {
	header := 0x40 | local
	if len(devs) > 0 {
		header |= 0x20
	}
	b.body = append(b.body, header, 0, 0, byte(message), byte(message>>8), byte(len(fields)))
	for _, f := range fields {
		b.body = append(b.body, f[:]...)
	}
	if len(devs) > 0 {
		b.body = append(b.body, byte(len(devs)))
		for _, f := range devs {
			b.body = append(b.body, f[:]...)
		}
	}
	return b
}

// message writes a data message from values in their own size.
func (b *builder) message(header byte, values ...any) *builder {
	b.body = append(b.body, header)
	for _, v := range values {
		if text, ok := v.(string); ok {
			b.body = append(b.body, text...)
			continue
		}
		var buf bytes.Buffer
		if err := binary.Write(&buf, binary.LittleEndian, v); err != nil {
			panic(err)
		}
		b.body = append(b.body, buf.Bytes()...)
	}
	return b
}

// activity starts a file with the file_id of an activity.
func activity() *builder {
	b := &builder{}
	return b.define(0, 0, []fieldDef{{0, 1, tEnum}, {3, 4, tUint32z}}).message(0, uint8(4), uint32(12345))
}

// file gives the complete file.
func (b *builder) file() []byte {
	h := []byte{14, 0x20, 100, 0, 0, 0, 0, 0, '.', 'F', 'I', 'T', 0, 0}
	binary.LittleEndian.PutUint32(h[4:], uint32(len(b.body)))
	binary.LittleEndian.PutUint16(h[12:], checksum(h[:12]))
	data := append(h, b.body...)
	return binary.LittleEndian.AppendUint16(data, checksum(data))
}

// checksum is muktihari/fit's.
func checksum(data []byte) uint16 {
	h := reference.New()
	h.Write(data)
	return h.Sum16()
}

// piece is one message of a file, definitions included.
type piece struct {
	at, size   int
	definition bool
}

// pieces finds every message of a file with muktihari/fit's raw stream.
func pieces(t testing.TB, data []byte) (found []piece) {
	t.Helper()
	at := 0
	_, err := decoder.NewRaw().Decode(bytes.NewReader(data), func(flag decoder.RawFlag, b []byte) error {
		if flag == decoder.RawFlagMesgDef || flag == decoder.RawFlagMesgData {
			found = append(found, piece{at, len(b), flag == decoder.RawFlagMesgDef})
		}
		at += len(b)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return found
}

// resized gives a copy of a file with size and checksum put right.
func resized(data []byte) []byte {
	data = bytes.Clone(data)
	n := len(data) - 2
	binary.LittleEndian.PutUint32(data[4:], uint32(n-int(data[0])))
	if data[0] == 14 {
		binary.LittleEndian.PutUint16(data[12:], checksum(data[:12]))
	}
	binary.LittleEndian.PutUint16(data[n:], checksum(data[:n]))
	return data
}

// equalColumn compares columns with NaN equal to NaN.
func equalColumn(a, b []float64) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i] != b[i] && !(math.IsNaN(a[i]) && math.IsNaN(b[i])) {
			return false
		}
	}
	return true
}
