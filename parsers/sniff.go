package parsers

import (
	"bytes"

	"boutwise/parsers/xmlstream"
)

// Kind is what a run of bytes is, as far as its beginning tells.
type Kind string

// The kinds that are told apart: three formats and two containers.
const (
	Unknown Kind = ""
	FIT     Kind = "fit"
	GPX     Kind = "gpx"
	TCX     Kind = "tcx"
	Gzip    Kind = "gzip"
	Zip     Kind = "zip"
)

// sniffLen is how many leading bytes are enough to tell the kind, a long
// comment before the root element included.
const sniffLen = 8 << 10

// Sniff tells what the bytes are from their beginning; 8 KiB are enough. It
// sees through a byte order mark, UTF-16, leading blanks, the XML declaration,
// comments and a document type.
func Sniff(head []byte) Kind {
	switch {
	// FIT: the header's size (12, or 14 with a checksum), then ".FIT" at 8.
	case len(head) >= 12 && (head[0] == 12 || head[0] == 14) && string(head[8:12]) == ".FIT":
		return FIT
	// RFC 1952: two magic bytes, then 8 for deflate, the only method there is.
	case bytes.HasPrefix(head, []byte{0x1f, 0x8b, 8}):
		return Gzip
	// PKWARE APPNOTE: a local file header, or the end record of an empty archive.
	case bytes.HasPrefix(head, []byte("PK\x03\x04")), bytes.HasPrefix(head, []byte("PK\x05\x06")):
		return Zip
	}
	switch xmlstream.Root(head[:min(len(head), sniffLen)]) {
	case "gpx":
		return GPX
	case "TrainingCenterDatabase":
		return TCX
	}
	return Unknown
}
