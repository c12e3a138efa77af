// Package parsers turns the bytes of an inbox file into recordings.
//
//  1. [Expand] opens one inbox file, plain, gzip or zip, and yields the
//     exports in it one at a time.
//  2. [Sniff] tells the format of an export from its bytes, never its name.
//  3. [Parse] hands it to that format's parser, which gives one recording a
//     leg.
//
// Bad bytes end in a [recording.ParseError] that says where and why, or, when
// enough can be read, in a recording whose Salvage lists what was wrong.
package parsers

import (
	"bytes"
	"fmt"
	"time"

	"boutwise/parsers/fit"
	"boutwise/parsers/gpx"
	"boutwise/parsers/recording"
	"boutwise/parsers/tcx"
)

// Limits bound what one inbox file may cost; see [recording.Limits].
type Limits = recording.Limits

// DefaultLimits gives every limit's default.
func DefaultLimits() Limits { return recording.DefaultLimits() }

// Parse decodes one export, already decompressed, into one recording a leg.
// Without error there is at least one recording and each has a sample.
//
// Errors are [*recording.ParseError]s that unwrap to
// [recording.ErrUnknownFormat], [recording.ErrTooLarge],
// [recording.ErrNoActivity], [recording.ErrNoSamples] or
// [recording.ErrDamaged].
func Parse(data []byte, lim Limits) ([]*recording.Recording, error) {
	lim = lim.WithDefaults()
	recs, err := decode(data, lim)
	if err != nil {
		return nil, clipError(err)
	}
	for _, rec := range recs {
		doubtDate(rec, lim)
		rec.Salvage = clipNotes(rec.Salvage)
	}
	return recs, nil
}

func decode(data []byte, lim Limits) ([]*recording.Recording, error) {
	if int64(len(data)) > lim.MaxBytes {
		return nil, tooLarge(lim.MaxBytes)
	}
	switch kind := Sniff(data); kind {
	case FIT:
		return fit.Parse(data, lim)
	case GPX:
		return gpx.Parse(data, lim)
	case TCX:
		return tcx.Parse(data, lim)
	default:
		return nil, unknownFormat(data, kind)
	}
}

// doubtDate notes a date on which no workout can have been. It goes by the
// middle sample: a clock that was set on the way gives a few samples of another
// age, which are left to whoever looks at the trace. The rest of the recording
// may be sound, so it is read all the same.
func doubtDate(rec *recording.Recording, lim Limits) {
	at := time.UnixMilli(rec.Samples.TimeMS[rec.Samples.Len()/2]).UTC()
	if !lim.Dated(at) {
		rec.Salvage = append(rec.Salvage, fmt.Sprintf("dated %s: the device's clock was not set", at.Format(time.DateOnly)))
	}
}

// unknownFormat says what the bytes look like instead of an export.
func unknownFormat(data []byte, kind Kind) error {
	detail := fmt.Sprintf("begins with %q", data[:min(len(data), 12)])
	switch {
	case len(data) == 0:
		detail = "empty file"
	case kind == Gzip || kind == Zip:
		detail = fmt.Sprintf("a %s container that was not opened", kind)
	case len(bytes.Trim(data[:min(len(data), sniffLen)], "\x00")) == 0:
		detail = "nothing but zero bytes"
	}
	return &recording.ParseError{
		Offset: 0, Detail: detail, Reason: recording.ErrUnknownFormat,
		Remedy: "keep only exports from devices in the inbox",
	}
}

// tooLarge refuses more bytes than an export may hold.
func tooLarge(limit int64) error {
	return &recording.ParseError{
		Offset: limit, Reason: recording.ErrTooLarge,
		Detail: fmt.Sprintf("more than %d MiB decoded", limit>>20),
		Remedy: "raise the limit if this really is one workout",
	}
}
