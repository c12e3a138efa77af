// Command speed prints what a nightly run costs, beside what the FIT decoder
// alone needs for the same files: go run ./scripts/speed [-n 1000]
package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"log"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"runtime/pprof"
	"syscall"
	"time"

	"github.com/muktihari/fit/encoder"
	"github.com/muktihari/fit/profile/filedef"
	"github.com/muktihari/fit/profile/mesgdef"
	"github.com/muktihari/fit/profile/typedef"
	"github.com/tormoder/fit"

	"boutwise/pipeline"
	"boutwise/pipeline/calendar"
)

func main() {
	log.SetFlags(0)
	n := flag.Int("n", 1000, "one-hour exports at 1 Hz with heart rate, power and speed")
	clients := flag.Int("clients", 20, "clients that they belong to")
	profile := flag.String("profile", "", "write a CPU profile of the first run to this file")
	flag.Parse()
	dir, err := os.MkdirTemp("", "speed")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(dir)
	paths := write(dir, *n, *clients)

	fmt.Printf("%d exports of an hour, %d clients, %d cores\n\n", *n, *clients, runtime.GOMAXPROCS(0))
	fmt.Printf("%-44s %9s %9s %9s\n", "", "CPU s", "wall s", "peak MB")
	decoder := measure("decoder alone, one after the other", func() { decodeAll(paths) })
	stop := startProfile(*profile)
	first := measure("run, everything new", func() { run(dir, pipeline.Run) })
	stop()
	measure("run, nothing new", func() { run(dir, pipeline.Run) })
	one := write(dir, *n+1, *clients)[*n:]
	measure("run, one new", func() { run(dir, pipeline.Run) })
	bands := "client_id,effective_from,signal,band,lower,unit\n*,2020-01-01,heart_rate,easy,0,bpm\n*,2020-01-01,heart_rate,hard,140,bpm\n"
	if err := os.WriteFile(filepath.Join(dir, "bands.csv"), []byte(bands), 0o600); err != nil {
		log.Fatal(err)
	}
	again := measure("reprocess, bands of every client changed", func() { run(dir, pipeline.Reprocess) })
	fmt.Printf("\nrun over decoder, CPU %.2f; run, wall over CPU %.2f; run over reprocess, CPU %.0f; last export %s\n",
		first.cpu/decoder.cpu, first.wall/first.cpu, first.cpu/again.cpu, filepath.Base(one[0]))
	fmt.Printf("store: %s a recorded hour\n", perHour(dir, *n))
}

// startProfile profiles until the function that it gives is called.
func startProfile(path string) (stop func()) {
	if path == "" {
		return func() {}
	}
	f, err := os.Create(path)
	if err == nil {
		err = pprof.StartCPUProfile(f)
	}
	if err != nil {
		log.Fatal(err)
	}
	return func() { pprof.StopCPUProfile(); f.Close() }
}

type cost struct{ cpu, wall float64 }

// measure prints what f costs in this process, and the peak of its memory so
// far.
func measure(what string, f func()) cost {
	before, started := usage(), time.Now()
	f()
	after := usage()
	c := cost{seconds(after) - seconds(before), time.Since(started).Seconds()}
	fmt.Printf("%-44s %9.2f %9.2f %9.0f\n", what, c.cpu, c.wall, float64(after.Maxrss)/1024)
	return c
}

func usage() (r syscall.Rusage) {
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &r); err != nil {
		log.Fatal(err)
	}
	return r
}

func seconds(r syscall.Rusage) float64 {
	return float64(r.Utime.Sec+r.Stime.Sec) + float64(r.Utime.Usec+r.Stime.Usec)/1e6
}

func run(dir string, verb func(context.Context, pipeline.Options) (pipeline.Summary, error)) {
	day, _ := calendar.ParseDate("2026-06-21")
	if _, err := verb(context.Background(), pipeline.Options{Dir: dir, AsOf: day}); err != nil {
		log.Fatal(err)
	}
}

func decodeAll(paths []string) {
	for _, path := range paths {
		data, err := os.ReadFile(path)
		if err == nil {
			_, err = fit.Decode(bytes.NewReader(data))
		}
		if err != nil {
			log.Fatal(path, ": ", err)
		}
	}
}

// write writes the exports that are not there yet and lists all of them.
func write(dir string, n, clients int) []string {
	paths := make([]string, n)
	old := time.Now().Add(-time.Hour)
	for i := range paths {
		client := filepath.Join(dir, "inbox", fmt.Sprintf("p%03d", i%clients))
		paths[i] = filepath.Join(client, fmt.Sprintf("%05d.fit", i))
		if _, err := os.Stat(paths[i]); err == nil {
			continue
		}
		if err := os.MkdirAll(client, 0o700); err != nil {
			log.Fatal(err)
		}
		start := time.Date(2022, 1, 1, 6, 0, 0, 0, time.UTC).AddDate(0, 0, i/clients)
		if err := os.WriteFile(paths[i], hour(start, uint64(i)), 0o600); err != nil {
			log.Fatal(err)
		}
		if err := os.Chtimes(paths[i], old, old); err != nil {
			log.Fatal(err)
		}
	}
	return paths
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

// perHour is the size of the store for one export.
func perHour(dir string, n int) string {
	var total int64
	err := filepath.WalkDir(filepath.Join(dir, "store"), func(path string, d os.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			info, statErr := d.Info()
			if statErr != nil {
				return statErr
			}
			total += info.Size()
		}
		return err
	})
	if err != nil {
		log.Fatal(err)
	}
	return fmt.Sprintf("%.1f kB", float64(total)/float64(n)/1000)
}
