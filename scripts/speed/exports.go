package main

import (
	"bytes"
	"fmt"
	"log"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"time"

	"github.com/muktihari/fit/encoder"
	"github.com/muktihari/fit/profile/filedef"
	"github.com/muktihari/fit/profile/mesgdef"
	"github.com/muktihari/fit/profile/typedef"
)

// write writes the exports from number first up to, and without, end into a
// practice's inbox: invented, an hour each.
func (b bench) write(practice string, first, end int) {
	old := time.Now().Add(-time.Hour)
	for i := first; i < end; i++ {
		client := filepath.Join(practice, "inbox", fmt.Sprintf("p%03d", i%b.clients))
		if err := os.MkdirAll(client, 0o700); err != nil {
			log.Fatal(err)
		}
		start := time.Date(2022, 1, 1, 6, 0, 0, 0, time.UTC).AddDate(0, 0, i/b.clients)
		path := filepath.Join(client, fmt.Sprintf("%05d.fit", i))
		if err := os.WriteFile(path, hour(start, uint64(i)), 0o600); err != nil {
			log.Fatal(err)
		}
		if err := os.Chtimes(path, old, old); err != nil {
			log.Fatal(err)
		}
	}
}

// hour is an hour of cycling with four bouts in it.
func hour(start time.Time, seed uint64) []byte {
	rng := rand.New(rand.NewPCG(seed, 1))
	activity := filedef.NewActivity()
	activity.FileId = *mesgdef.NewFileId(nil).SetType(typedef.FileActivity).
		SetManufacturer(typedef.ManufacturerDevelopment).SetTimeCreated(start)
	heart, noise := 95.0, 0.0
	for i := range 3600 {
		power := 110.0
		if at := i - 900; at >= 0 && at < 4*480 && at%480 < 240 {
			power = 210
		}
		noise = 0.8*noise + rng.NormFloat64()*5
		heart += (70+0.42*power-heart)/45 + rng.NormFloat64()*0.3
		now := start.Add(time.Duration(i) * time.Second)
		activity.Records = append(activity.Records, mesgdef.NewRecord(nil).SetTimestamp(now).
			SetHeartRate(uint8(heart)).SetPower(uint16(math.Max(0, power+noise))).
			SetSpeedScaled(8+rng.Float64()).SetDistanceScaled(8.5*float64(i)))
	}
	end := start.Add(time.Hour)
	activity.Sessions = append(activity.Sessions, mesgdef.NewSession(nil).SetTimestamp(end).
		SetStartTime(start).SetSport(typedef.SportCycling).SetTotalElapsedTimeScaled(3600))
	activity.Activity = mesgdef.NewActivity(nil).SetTimestamp(end).SetNumSessions(1)
	var buf bytes.Buffer
	messages := activity.ToFIT(nil)
	if err := encoder.New(&buf).Encode(&messages); err != nil {
		log.Fatal(err)
	}
	return buf.Bytes()
}
