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

	TimeMS      []int64 `json:"time_ms"`
	HeartRate   column  `json:"heart_rate"`
	Power       column  `json:"power"`
	Speed       column  `json:"speed"`
	Distance    column  `json:"distance"`
	Altitude    column  `json:"altitude"`
	Cadence     column  `json:"cadence"`
	Temperature column  `json:"temperature"`
	Latitude    column  `json:"latitude"`
	Longitude   column  `json:"longitude"`

	Sport  recording.Sport   `json:"sport"`
	Device recording.Device  `json:"device"`
	Laps   []lap             `json:"laps"`
	Totals map[string]figure `json:"totals"`
}

// lap is a lap as it is printed.
type lap struct {
	StartMS       int64  `json:"start_ms"`
	EndMS         int64  `json:"end_ms"`
	Intensity     string `json:"intensity"`
	Trigger       string `json:"trigger"`
	MeanPower     figure `json:"mean_power"`
	MeanHeartRate figure `json:"mean_heart_rate"`
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
		Cadence: s.Cadence, Temperature: s.Temperature,
		Sport: rec.Sport, Device: rec.Device,
	}
	if s.Position != nil {
		l.Latitude, l.Longitude = s.Position.Latitude, s.Position.Longitude
	}
	for _, m := range rec.Laps {
		l.Laps = append(l.Laps, lap{
			m.StartMS, m.EndMS, m.Intensity, m.Trigger, figure(m.MeanPower), figure(m.MeanHeartRate),
		})
	}
	t := &rec.Totals
	l.Totals = map[string]figure{
		"timer_s": figure(t.TimerS), "distance_m": figure(t.DistanceM),
		"mean_hr": figure(t.MeanHR), "max_hr": figure(t.MaxHR),
		"mean_power": figure(t.MeanPower), "max_power": figure(t.MaxPower),
		"mean_speed": figure(t.MeanSpeed), "max_speed": figure(t.MaxSpeed),
	}
	return l
}
