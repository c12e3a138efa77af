// Command speed prints what a nightly run costs, beside what the FIT decoder
// alone needs for the same files: go run ./scripts/speed [-n 1000,10000]
//
// Each step is a process of its own, the program as it is installed, so that
// CPU time and peak memory are those of one night. Figures depend on what else
// the machine does; the ratios less so.
package main

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"log"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"runtime/pprof"
	"strconv"
	"strings"
	"syscall"
	"time"

	"github.com/tormoder/fit"

	"boutwise/pipeline"
	"boutwise/pipeline/durable"
)

func main() {
	log.SetFlags(0)
	sizes := flag.String("n", "1000", "how many one-hour exports at 1 Hz with heart rate, power and speed; several sizes with commas between")
	clients := flag.Int("clients", 20, "clients that they belong to")
	decode := flag.String("decode", "", "only decode every export in this folder: the yardstick, run by the command itself")
	profile := flag.String("profile", "", "only write CPU profiles: of a first run to this file, of a reprocess to this file with .reprocess behind")
	flag.Parse()
	if *decode != "" {
		decodeAll(*decode)
		return
	}
	dir, err := os.MkdirTemp("", "speed")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(dir)
	b := bench{dir: dir, program: filepath.Join(dir, "boutwise"), clients: *clients}
	if out, err := exec.Command("go", "build", "-o", b.program, "./cmd/boutwise").CombinedOutput(); err != nil {
		log.Fatalf("building the program: %v\n%s", err, out)
	}
	fmt.Printf("%.2f ms of CPU time to make a file on this disk\n", 1000*b.perFile().Seconds())
	var firsts []cost
	for _, text := range strings.Split(*sizes, ",") {
		n, err := strconv.Atoi(text)
		if err != nil || n < 1 {
			log.Fatalf("-n: %q is no number of exports", text)
		}
		if *profile != "" {
			b.profile(n, *profile)
			return
		}
		firsts = append(firsts, b.size(n))
	}
	if first, last := firsts[0], firsts[len(firsts)-1]; len(firsts) > 1 {
		fmt.Printf("\nlargest over smallest: peak memory %.2f, CPU an export %.2f\n",
			last.peakMB/first.peakMB, last.cpu/float64(last.exports)/(first.cpu/float64(first.exports)))
	}
}

// bench measures the program in a scratch folder.
type bench struct {
	dir, program string
	clients      int
}

// cost is what one process took.
type cost struct {
	cpu, wall, peakMB float64
	exports           int
}

// size measures a practice with n exports and gives the cost of its first run.
func (b bench) size(n int) cost {
	practice := filepath.Join(b.dir, strconv.Itoa(n))
	b.write(practice, 0, n)
	fmt.Printf("\n%d exports of an hour, %d clients, %d cores\n\n%-44s %9s %9s %9s\n", n, b.clients, runtime.GOMAXPROCS(0), "", "CPU s", "wall s", "peak MB")

	self, err := os.Executable()
	if err != nil {
		log.Fatal(err)
	}
	decoder := measure("decoder alone, one after the other", self, "-decode", filepath.Join(practice, "inbox"))
	first := measure("run, everything new", b.program, "run", "--practice", practice, "--as-of", "2026-06-21")
	measure("run, nothing new", b.program, "run", "--practice", practice, "--as-of", "2026-06-21")
	measure("run, nothing new, a day later", b.program, "run", "--practice", practice, "--as-of", "2026-06-22")
	b.write(practice, n, n+1)
	measure("run, one new", b.program, "run", "--practice", practice, "--as-of", "2026-06-22")
	b.changeBands(practice)
	again := measure("reprocess, bands of every client changed", b.program, "reprocess", "--practice", practice, "--as-of", "2026-06-22")

	fmt.Printf("\nrun over decoder, CPU %.2f; run, wall over CPU %.2f; run over reprocess, CPU %.0f\n",
		first.cpu/decoder.cpu, first.wall/first.cpu, first.cpu/again.cpu)
	fmt.Printf("store: %s a recorded hour, of which traces %s\n",
		perExport(filepath.Join(practice, "store"), n), perExport(filepath.Join(practice, "store", "traces"), n))
	first.exports = n
	return first
}

// perFile is the CPU time that one new file costs. A run makes two for every
// export, and where thousands were deleted minutes ago, as at the end of this
// very command, ext4 takes many times as long for each: it walks past all that
// were. Figures want a disk at rest, of some 0.05 ms.
func (b bench) perFile() time.Duration {
	const files = 500
	var before, after syscall.Rusage
	data := make([]byte, 20_000)
	writer := durable.Writer{Later: true}
	err := syscall.Getrusage(syscall.RUSAGE_SELF, &before)
	for i := range files {
		err = errors.Join(err, writer.File(filepath.Join(b.dir, "files", strconv.Itoa(i)), data))
	}
	if err = errors.Join(err, syscall.Getrusage(syscall.RUSAGE_SELF, &after)); err != nil {
		log.Fatal(err)
	}
	return time.Duration(after.Utime.Nano()-before.Utime.Nano()+after.Stime.Nano()-before.Stime.Nano()) / files
}

// profile writes CPU profiles of a first run and of a reprocess, which for that
// run in this process.
func (b bench) profile(n int, path string) {
	practice := filepath.Join(b.dir, strconv.Itoa(n))
	b.write(practice, 0, n)
	o := pipeline.Options{Dir: practice}
	profiled(path, func() error { _, err := pipeline.Run(context.Background(), o); return err })
	b.changeBands(practice)
	profiled(path+".reprocess", func() error { _, err := pipeline.Reprocess(context.Background(), o); return err })
}

func profiled(path string, f func() error) {
	file, err := os.Create(path)
	if err == nil {
		err = pprof.StartCPUProfile(file)
	}
	if err == nil {
		err = f()
	}
	pprof.StopCPUProfile()
	if err := errors.Join(err, file.Close()); err != nil {
		log.Fatal(err)
	}
}

// changeBands gives every client other bands.
func (b bench) changeBands(practice string) {
	bands := "client_id,effective_from,signal,band,lower,unit\n*,2020-01-01,heart_rate,easy,0,bpm\n*,2020-01-01,heart_rate,hard,140,bpm\n"
	if err := os.WriteFile(filepath.Join(practice, "bands.csv"), []byte(bands), 0o600); err != nil {
		log.Fatal(err)
	}
}

// measure runs a program, prints what it took, and ends everything when it
// fails.
func measure(what, program string, args ...string) cost {
	cmd := exec.Command(program, args...)
	var said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &said, &said
	started := time.Now()
	if err := cmd.Run(); err != nil {
		log.Fatalf("%s: %v\n%s", what, err, said.Bytes())
	}
	usage := cmd.ProcessState.SysUsage().(*syscall.Rusage)
	c := cost{
		cpu:    (cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()).Seconds(),
		wall:   time.Since(started).Seconds(),
		peakMB: float64(usage.Maxrss) / 1024,
	}
	fmt.Printf("%-44s %9.2f %9.2f %9.0f\n", what, c.cpu, c.wall, c.peakMB)
	return c
}

// decodeAll decodes every file below a folder.
func decodeAll(dir string) {
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		if err == nil {
			_, err = fit.Decode(bytes.NewReader(data))
		}
		return err
	})
	if err != nil {
		log.Fatal(err)
	}
}

// perExport is the size of a folder for each of n exports.
func perExport(dir string, n int) string {
	var total int64
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
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
