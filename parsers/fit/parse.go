// Package fit reads FIT activities.
//
// There is one way in. The bytes go through a normaliser (normalise.go), built
// on muktihari/fit's raw message stream, which keeps the messages and fields
// that are read and brings them into the form that tormoder/fit decodes; that
// library decodes the result; and convert.go turns what it gives into
// recordings, one a session.
//
// The normaliser exists because tormoder/fit refuses files that devices write
// today: fields that have grown beyond the profile it knows or are shorter than
// their own type, sizes and checksums that are off, a cut tail, a message
// without definition. It passes developer fields over, which hold the power of
// many running sensors. Dropping what is not read also spares its reflection,
// which costs more than everything here.
//
// What had to be repaired is listed in the recording's Salvage. Fields that are
// dropped because nothing reads them are not.
package fit

import (
	"bytes"
	"errors"
	"fmt"

	"github.com/tormoder/fit"

	"boutwise/parsers/recording"
)

// Parse decodes one FIT export, chained files included, into one recording a
// session that has samples.
func Parse(data []byte, lim recording.Limits) ([]*recording.Recording, error) {
	lim = lim.WithDefaults()
	files, err := normaliseAll(data, lim)
	if err != nil {
		return nil, err
	}
	var recs []*recording.Recording
	var refused error
	var lost []string
	for _, f := range files {
		got, err := f.recordings()
		recs = append(recs, got...)
		if refused == nil {
			refused = err
		}
		// Settings and the like, which devices chain too, are no loss.
		if err != nil && !errors.Is(err, recording.ErrNoActivity) {
			lost = append(lost, fmt.Sprintf("a file chained to it was left out: %v", err))
		}
	}
	if len(recs) == 0 {
		return nil, refused
	}
	for leg, rec := range recs {
		rec.Leg = leg
		rec.Salvage = append(rec.Salvage, lost...)
	}
	return recs, nil
}

// maxChained bounds the files that one export may chain, over each of which a
// checksum may have to be run. Straps add a handful to a watch's.
const maxChained = 100

// normaliseAll rewrites every file chained in an export. A file of heartbeats
// alone, as straps append them to the file of a watch, joins the one before.
func normaliseAll(data []byte, lim recording.Limits) ([]*normalised, error) {
	var files []*normalised
	chained := 0
	for at := 0; headerAt(data, at); {
		x := extentAt(data, at)
		f, err := normalise(data, x, lim)
		if err != nil {
			return nil, err
		}
		at = x.next
		last := len(files) - 1
		switch {
		case last >= 0 && f.fileType < 0 && f.records == 0 && len(f.beats) > 0:
			files[last].beats = append(files[last].beats, f.beats...)
		case last >= 0 && f.messages == 0:
			files[last].salvage.add("", "a chained file without any message was left out")
		default:
			files = append(files, f)
		}
		lim.MaxSamples -= f.records
		if chained++; chained > maxChained {
			return nil, refuse(recording.ErrTooLarge, fmt.Sprintf("more than %d files chained", maxChained))
		}
	}
	if len(files) == 0 {
		return nil, refuse(recording.ErrDamaged, "no FIT header")
	}
	return files, nil
}

// recordings decodes one file.
func (f *normalised) recordings() ([]*recording.Recording, error) {
	switch {
	case f.messages == 0:
		return nil, refuse(recording.ErrDamaged, "no whole message behind the header")
	case !f.unnamed() && f.fileType != fileTypeActivity:
		return nil, refuse(recording.ErrNoActivity, "a FIT file of the type "+fileTypeName(f.fileType))
	case f.unnamed() && f.records == 0:
		return nil, f.refuse(recording.ErrNoActivity, "a FIT file of the type "+fileTypeName(f.fileType))
	case f.records == 0:
		return nil, f.refuse(recording.ErrNoSamples, "an activity without records")
	case f.fileType != fileTypeActivity:
		f.salvage.add("", "the file does not say that it is an activity, but holds records")
	}
	var file *fit.File
	err := recording.Contain(recording.FIT, "the decoder", func() (err error) {
		file, err = fit.Decode(bytes.NewReader(f.stream))
		return err
	})
	if err != nil {
		return nil, refuse(recording.ErrDamaged, err.Error())
	}
	activity, err := file.Activity()
	if err != nil {
		return nil, refuse(recording.ErrDamaged, err.Error())
	}
	recs := f.convert(file, activity)
	if len(recs) == 0 {
		return nil, f.refuse(recording.ErrNoSamples, "no record has a time")
	}
	return recs, nil
}

// unnamed tells whether a file leaves its type open.
func (f *normalised) unnamed() bool { return f.fileType < 0 || f.fileType == 0xFF }

// fileTypeName gives the profile's word for a file type, or its number.
func fileTypeName(t int) string {
	if t < 0 {
		return "that is missing"
	}
	return fmt.Sprintf("%q", snake(fit.FileType(t).String()))
}

// refuse is the error for a file that yields nothing, damage where there was
// some: what is missing may be what was asked for.
func (f *normalised) refuse(reason error, detail string) error {
	if f.damaged {
		reason = recording.ErrDamaged
	}
	return refuse(reason, detail)
}

// refuse is the error for bytes that yield nothing.
func refuse(reason error, detail string) error {
	return &recording.ParseError{Format: recording.FIT, Offset: -1, Reason: reason, Detail: detail}
}
