package main

import (
	"encoding/json"
	"os"

	"boutwise/parsers"
	"boutwise/parsers/recording"
)

// leg is a recording as it is printed.
type leg struct {
	File  string `json:"file"`
	Error string `json:"error,omitempty"` // why the file gave nothing

	TimeMS    []int64 `json:"time_ms"`
	HeartRate column  `json:"heart_rate"`
	Power     column  `json:"power"`
	Speed     column  `json:"speed"`
	Distance  column  `json:"distance"`
	Altitude  column  `json:"altitude"`
	Latitude  column  `json:"latitude"`
	Longitude column  `json:"longitude"`
}

// recordings prints every leg of the files, or why a file has none.
func recordings(files []string, out *json.Encoder) error {
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			return err
		}
		recs, err := parsers.Parse(data, parsers.DefaultLimits())
		if err != nil {
			if err := out.Encode(leg{File: file, Error: err.Error()}); err != nil {
				return err
			}
		}
		for _, rec := range recs {
			if err := out.Encode(legOf(file, rec)); err != nil {
				return err
			}
		}
	}
	return nil
}

// legOf is a recording in the form that is printed.
func legOf(file string, rec *recording.Recording) leg {
	s := &rec.Samples
	l := leg{
		File: file, TimeMS: s.TimeMS, HeartRate: s.HeartRate, Power: s.Power,
		Speed: s.Speed, Distance: s.Distance, Altitude: s.Altitude,
	}
	if s.Position != nil {
		l.Latitude, l.Longitude = s.Position.Latitude, s.Position.Longitude
	}
	return l
}
