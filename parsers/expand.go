package parsers

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"iter"
	"slices"

	"boutwise/parsers/recording"
)

// Member is one export found in an inbox file: the file itself, or a member of
// the archive that it is.
type Member struct {
	// Path is the inbox file's path, with the names inside archives behind it:
	// "bundle.zip/folder/name.fit". Names are cleaned, see Flagged.
	Path string

	// SHA256 is the checksum of the decoded bytes, so that an export has the
	// same however it is wrapped. Zero when Err is set.
	SHA256 [sha256.Size]byte

	// Data is the decoded export; nil when Err is set.
	Data []byte

	// Flagged tells that the member's name in the archive was absolute, led
	// out of it, held characters that no name should, or was another member's
	// too: Path is made of what is left of it. No name in an archive is ever
	// used to write a file.
	Flagged bool

	// Err is a [*recording.ParseError] when the member could not be decoded:
	// too large, encrypted, damaged.
	Err error
}

// Expand opens one inbox file, told by its bytes, and yields its exports one
// at a time: a plain file is its own only member, a gzip holds one, a zip many,
// in the archive's order. Containers inside containers are opened to
// lim.MaxNesting. Folders and what operating systems leave in archives
// (__MACOSX, .DS_Store, Thumbs.db, desktop.ini) are skipped without a word.
//
// At most one member's data and, for nested archives, the archives around it
// are held at a time, each no larger than lim.MaxBytes. Sizes that archives
// claim are not trusted; bytes are counted as they are inflated.
//
// What goes wrong with the file as a whole, an archive with nothing in it
// included, comes as a member with Err under the path itself or the nested
// archive's.
func Expand(path string, r io.ReaderAt, size int64, lim Limits) iter.Seq[Member] {
	return func(yield func(Member) bool) {
		lim = lim.WithDefaults()
		e := &expander{lim: lim, yield: yield, budget: lim.MaxBytes + lim.MaxRatio*size}
		e.open(Member{Path: path}, io.NewSectionReader(r, 0, size), 0)
	}
}

// ExpandBytes is [Expand] for a file that is in memory.
func ExpandBytes(path string, data []byte, lim Limits) iter.Seq[Member] {
	return Expand(path, bytes.NewReader(data), int64(len(data)), lim)
}

// expander walks one inbox file.
type expander struct {
	lim     Limits
	yield   func(Member) bool
	budget  int64 // decoded bytes left for the whole file
	members int   // met so far
}

// open yields what one file holds, whatever it is. m has its path and flag;
// depth counts the containers around it. It tells whether to go on.
func (e *expander) open(m Member, file *io.SectionReader, depth int) bool {
	head := make([]byte, min(file.Size(), sniffLen))
	if _, err := io.ReadFull(file, head); err != nil {
		return e.fail(m, recording.ErrDamaged, err.Error())
	}
	kind := Sniff(head)
	whole := io.NewSectionReader(file, 0, file.Size())
	switch {
	case kind != Gzip && kind != Zip:
		return e.leaf(m, whole)
	case depth >= e.lim.MaxNesting:
		return e.fail(m, recording.ErrTooLarge, fmt.Sprintf("more than %d containers inside each other", e.lim.MaxNesting))
	case kind == Gzip:
		stream, err := gzip.NewReader(whole)
		if err != nil {
			return e.fail(m, recording.ErrDamaged, err.Error())
		}
		return e.inflated(m, stream, depth+1)
	default:
		return e.archive(m, whole, depth+1)
	}
}

// inflated decodes a member that comes from a decompressor and opens it, in
// case that it is a container itself.
func (e *expander) inflated(m Member, stream io.Reader, depth int) bool {
	data, err := e.read(stream)
	if err != nil {
		return e.failWith(m, err)
	}
	switch Sniff(data) {
	case Gzip, Zip:
		return e.open(m, io.NewSectionReader(bytes.NewReader(data), 0, int64(len(data))), depth)
	}
	return e.deliver(m, data)
}

// leaf reads a file that is no container.
func (e *expander) leaf(m Member, file *io.SectionReader) bool {
	if file.Size() > e.lim.MaxBytes {
		return e.failWith(m, tooLarge(e.lim.MaxBytes))
	}
	data := make([]byte, file.Size())
	if _, err := io.ReadFull(file, data); err != nil {
		return e.fail(m, recording.ErrDamaged, err.Error())
	}
	return e.deliver(m, data)
}

// read inflates a stream, counting as it goes.
func (e *expander) read(stream io.Reader) ([]byte, error) {
	allowed := min(e.lim.MaxBytes, e.budget)
	data, err := io.ReadAll(io.LimitReader(stream, allowed+1))
	n := int64(len(data))
	e.budget -= min(n, e.budget)
	switch {
	case n > allowed && allowed == e.lim.MaxBytes:
		return nil, tooLarge(e.lim.MaxBytes)
	case n > allowed:
		return nil, &recording.ParseError{
			Offset: -1, Reason: recording.ErrTooLarge,
			Detail: fmt.Sprintf("the file decodes to more than %d times its size", e.lim.MaxRatio),
			Remedy: "a decompression bomb looks like this; unpack it by hand if it is none",
		}
	case err != nil:
		return nil, &recording.ParseError{
			Offset: -1, Reason: recording.ErrDamaged, Detail: err.Error(), Remedy: "export or compress it again",
		}
	}
	return data, nil
}

// deliver yields a decoded member.
func (e *expander) deliver(m Member, data []byte) bool {
	m.Data, m.SHA256 = data, sha256.Sum256(data)
	return e.yield(m)
}

// fail yields a member that could not be decoded.
func (e *expander) fail(m Member, reason error, detail string) bool {
	return e.failWith(m, &recording.ParseError{Offset: -1, Reason: reason, Detail: detail})
}

// failWith is fail with an error at hand.
func (e *expander) failWith(m Member, err error) bool {
	m.Err = err
	return e.yield(m)
}

// archive yields the members of a zip.
func (e *expander) archive(m Member, file *io.SectionReader, depth int) bool {
	// The directory at an archive's end is held whole while the archive is
	// open, so its bytes are bounded too.
	guard := &directoryGuard{ReaderAt: file, left: int64(e.lim.MaxMembers) * directoryBytes}
	z, err := zip.NewReader(guard, file.Size())
	switch {
	case errors.Is(err, errDirectory):
		return e.fail(m, recording.ErrTooLarge, e.tooMany())
	case err != nil:
		return e.fail(m, recording.ErrDamaged, err.Error())
	}
	guard.left = unguarded
	files := slices.DeleteFunc(z.File, func(entry *zip.File) bool { return entry.FileInfo().IsDir() || junk(entry.Name) })
	if len(files) == 0 {
		return e.fail(m, recording.ErrNoActivity, "an archive with no export in it")
	}
	taken := map[string]int{}
	for _, entry := range files {
		if e.members++; e.members > e.lim.MaxMembers {
			e.fail(m, recording.ErrTooLarge, e.tooMany())
			return false
		}
		name, flagged := cleanName(entry.Name)
		// Two members may have one name, or names of which the same is left:
		// each needs a path of its own to be told by.
		if taken[name]++; taken[name] > 1 {
			name, flagged = fmt.Sprintf("%s~%d", name, taken[name]), true
		}
		inner := Member{Path: m.Path + "/" + name, Flagged: m.Flagged || flagged}
		if !e.entry(inner, entry, depth) {
			return false
		}
	}
	return true
}

// tooMany is the detail for an archive beyond the limit of members.
func (e *expander) tooMany() string {
	return fmt.Sprintf("more than %d members", e.lim.MaxMembers)
}

// entry yields what one member of a zip holds.
func (e *expander) entry(m Member, entry *zip.File, depth int) bool {
	// Bit 0 of the general purpose flags (PKWARE APPNOTE 4.4.4): encrypted.
	if entry.Flags&1 != 0 {
		return e.failWith(m, &recording.ParseError{
			Offset: -1, Reason: recording.ErrEncrypted, Remedy: "put it into the inbox without a password",
		})
	}
	// A claim is not trusted, but one beyond the limit spares the inflating.
	if entry.UncompressedSize64 > uint64(e.lim.MaxBytes) {
		return e.failWith(m, tooLarge(e.lim.MaxBytes))
	}
	stream, err := entry.Open()
	if err != nil {
		return e.fail(m, recording.ErrDamaged, err.Error())
	}
	defer stream.Close()
	return e.inflated(m, stream, depth)
}

// directoryBytes is what one member takes in a zip's directory: 46 bytes and
// its name, with room for long names and extra fields.
const directoryBytes = 512

// unguarded lifts a directoryGuard's limit.
const unguarded = 1<<63 - 1

// errDirectory reports a zip directory beyond the limit.
var errDirectory = errors.New("archive directory beyond the limit")

// directoryGuard bounds how many bytes are read through it.
type directoryGuard struct {
	io.ReaderAt
	left int64
}

// ReadAt reads at an offset and counts.
func (g *directoryGuard) ReadAt(p []byte, off int64) (int, error) {
	if g.left < int64(len(p)) {
		return 0, errDirectory
	}
	if g.left != unguarded {
		g.left -= int64(len(p))
	}
	return g.ReaderAt.ReadAt(p, off)
}
