package fit

import (
	"bytes"
	"encoding/binary"
	"fmt"
)

// extent is where one FIT file stands in an export, which may chain several.
type extent struct {
	header int // of its header
	body   int // of its first message
	end    int // after its last message
	next   int // after its checksum; where the next file may begin

	// note says what was wrong with the size or the checksum; "" when nothing.
	note string
}

const (
	crcSize   = 2
	magic     = ".FIT"
	magicAt   = 8
	minHeader = 12
)

// headerAt tells whether a file header stands at an offset.
func headerAt(data []byte, at int) bool {
	// The magic alone comes up by chance in eight bytes of samples; with a size
	// of 12 or 14 before it, it hardly does.
	return at >= 0 && at+minHeader <= len(data) &&
		(data[at] == minHeader || data[at] == minHeader+crcSize) &&
		string(data[at+magicAt:at+minHeader]) == magic
}

// extentAt finds the end of the file whose header stands at an offset. The
// header's data size is believed where the bytes bear it out: the export or
// the next file begins there, or the checksum fits. Else the messages are
// taken to go on to the next header or the end of the export, and whoever
// reads them finds the true end.
func extentAt(data []byte, at int) extent {
	// Up to 4 GB may be claimed: nothing is allocated by it.
	size := int(binary.LittleEndian.Uint32(data[at+4:]))
	x := extent{header: at, body: min(at+int(data[at]), len(data))}
	x.end = x.body + size
	x.next = x.end + crcSize
	switch {
	case x.next == len(data), headerAt(data, x.next):
		if !checksumFits(data, x) {
			x.note = "the checksum is wrong"
		}
	// A download that broke off, or a device that lost power before it could
	// put the true size into the header.
	case x.next > len(data):
		x.note = fmt.Sprintf("the file ends %d bytes before the size in its header", x.next-len(data))
		x.end, x.next = min(x.end, len(data)), len(data)
	case nextHeader(data, x.body) >= x.next && checksumFits(data, x):
		x.note = fmt.Sprintf("%d bytes behind the end of the data are no FIT file: left out", len(data)-x.next)
		x.next = len(data)
	default:
		x.end = nextHeader(data, x.body)
		x.next = x.end
		x.note = fmt.Sprintf("the header's data size of %d bytes is wrong: the file has %d", size, x.end-x.body)
	}
	return x
}

// nextHeader finds the first file header from an offset on, or the end.
func nextHeader(data []byte, from int) int {
	// The magic stands inside the header: a hit is looked at from its start.
	for at := from; ; {
		i := bytes.Index(data[at:], []byte(magic))
		if i < 0 {
			return len(data)
		}
		if start := at + i - magicAt; start >= from && headerAt(data, start) {
			return start
		}
		at += i + len(magic)
	}
}

// checksumFits tells whether the checksum behind the messages is right: over
// the header and them, as the protocol has it, or over them alone, as some
// writers do. A sum run on over its own two bytes comes to zero.
func checksumFits(data []byte, x extent) bool {
	return crc16(0, data[x.header:x.next]) == 0 || crc16(0, data[x.body:x.next]) == 0
}

// crcTables hold CRC-16/ARC (polynomial 0x8005, reflected) of one byte, and of
// one followed by up to seven zero bytes.
var crcTables = func() (tables [8][256]uint16) {
	for i := range tables[0] {
		c := uint16(i)
		for range 8 {
			// 0xA001 is the polynomial with its bits in reverse.
			c = c>>1 ^ c&1*0xA001
		}
		tables[0][i] = c
	}
	for k := 1; k < len(tables); k++ {
		for i, c := range tables[k-1] {
			tables[k][i] = c>>8 ^ tables[0][byte(c)]
		}
	}
	return tables
}()

// crc16 continues a CRC-16/ARC, eight bytes a step. The libraries' own go half
// a byte a step, which would cost more than all else that is done here.
func crc16(c uint16, b []byte) uint16 {
	t := &crcTables
	// The first two bytes take the old sum with them; the other six enter with
	// as many zeros behind them as there are bytes left in the step.
	for len(b) >= 8 {
		c = t[7][b[0]^byte(c)] ^ t[6][b[1]^byte(c>>8)] ^
			t[5][b[2]] ^ t[4][b[3]] ^ t[3][b[4]] ^ t[2][b[5]] ^ t[1][b[6]] ^ t[0][b[7]]
		b = b[8:]
	}
	for _, v := range b {
		c = c>>8 ^ t[0][byte(c)^v]
	}
	return c
}
