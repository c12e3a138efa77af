package fit

import (
	"encoding/binary"
	"math"
)

// headerSize is the size of the header that is written, with its checksum.
const headerSize = 14

// fileHeader gives a header for messages of a size.
func fileHeader(size int) []byte {
	// Room behind it for the definitions that are spliced in.
	h := make([]byte, headerSize, headerSize+1024)
	h[0] = headerSize
	h[1] = 0x20                               // protocol 2.0
	binary.LittleEndian.PutUint16(h[2:], 100) // profile 1.00: the decoder does not look
	binary.LittleEndian.PutUint32(h[4:], uint32(size))
	copy(h[magicAt:], magic)
	binary.LittleEndian.PutUint16(h[minHeader:], crc16(0, h[:minHeader]))
	return h
}

// bareFileID is a file_id message of an activity with its definition, for a
// file that has none: the decoder wants one first.
var bareFileID = []byte{0x40, 0, 0, msgFileID, 0, 1, 0, 1, 0x00, 0x00, fileTypeActivity}

// fileTypeActivity is the file type that is read.
const fileTypeActivity = 4

// assemble gives the complete file: header, file_id, the other messages,
// checksum. What calls itself something else but is read all the same becomes
// an activity.
func (n *normaliser) assemble() []byte {
	// The decoder sorts messages by the type that the file names for itself,
	// and would throw the records of any other type away.
	id := n.fileID
	if n.out.fileType != fileTypeActivity {
		id = bareFileID
	}
	// Made in one piece: files of a day are ten megabytes.
	stream := make([]byte, 0, headerSize+len(id)+len(n.body)+crcSize)
	stream = append(stream, fileHeader(len(id)+len(n.body))...)
	stream = append(stream, id...)
	stream = append(stream, n.body...)
	return binary.LittleEndian.AppendUint16(stream, crc16(0, stream))
}

// exertion reads a session's rated exertion, which devices write in tenths of
// the 0 to 10 scale; NaN when they did not ask.
func exertion(p *plan, b []byte) float64 {
	s, ok := p.source[sessionExertion]
	// 0xFF is the sentinel, and nothing above 10.0 is on the scale.
	if !ok || s.size != 1 || b[s.at] > 100 {
		return math.NaN()
	}
	return float64(b[s.at]) / 10
}
