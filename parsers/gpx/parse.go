package gpx

import "boutwise/parsers/recording"

func Parse(data []byte, lim recording.Limits) ([]*recording.Recording, error) {
	return nil, &recording.ParseError{Offset: -1, Reason: recording.ErrDamaged}
}
