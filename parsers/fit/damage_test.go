package fit

import (
	"bytes"
	"encoding/binary"
	"errors"
	"math/rand/v2"
	"reflect"
	"strings"
	"sync"
	"testing"

	"boutwise/parsers/internal/parsertest"
	"boutwise/parsers/recording"
)

// trainer is a real ride of 2,263 records with heart rate, power and laps, and
// with one local number a message.
func trainer(t testing.TB) []byte {
	return parsertest.Read(t, parsertest.Tormoder, "testdata/python-fitparse/sample-activity-indoor-trainer.fit")
}

// samePrefix fails unless got's samples are the first of want's.
func samePrefix(t *testing.T, got, want *recording.Samples) {
	t.Helper()
	n := got.Len()
	if n > want.Len() || !reflect.DeepEqual(got.TimeMS, want.TimeMS[:n]) {
		t.Fatalf("the %d samples' times differ from the undamaged file's", n)
	}
	for _, c := range channelPairs {
		g, w := c.ours(got), c.ours(want)
		if g != nil && !equalColumn(g, w[:n]) {
			t.Fatalf("%s differs from the undamaged file's", c.name)
		}
	}
}

// TestCutTail cuts a real file at many places: what came before the cut is
// read as ever, and the file is salvaged, not sound.
func TestCutTail(t *testing.T) {
	data := trainer(t)
	whole := parseOne(t, data)
	last := 0
	for at := 0; at < len(data); at += 149 {
		recs, err := Parse(data[:at], recording.Limits{})
		if err != nil {
			if last > 0 || !errors.Is(err, recording.ErrDamaged) && !errors.Is(err, recording.ErrNoSamples) {
				t.Fatalf("cut at %d: %v", at, err)
			}
			continue
		}
		n := recs[0].Samples.Len()
		if n < last || len(recs[0].Salvage) == 0 {
			t.Fatalf("cut at %d: %d samples after %d, salvage %q", at, n, last, recs[0].Salvage)
		}
		last = n
		samePrefix(t, &recs[0].Samples, &whole.Samples)
	}
	if last < 2200 {
		t.Errorf("only %d samples before the last cut", last)
	}
}

// TestWrongHeader gives a real file every wrong size and checksum: all samples
// are read, and a note says what was wrong.
func TestWrongHeader(t *testing.T) {
	data := trainer(t)
	whole := parseOne(t, data)
	size := binary.LittleEndian.Uint32(data[4:])
	for _, c := range []struct {
		name string
		bend func([]byte) []byte
		says string
	}{
		{"checksum", func(b []byte) []byte { b[len(b)-1] ^= 0x55; return b }, "checksum is wrong"},
		{"size too small", func(b []byte) []byte { binary.LittleEndian.PutUint32(b[4:], size/2); return b }, "data size"},
		{"size zero", func(b []byte) []byte { binary.LittleEndian.PutUint32(b[4:], 0); return b }, "data size"},
		{"size too large", func(b []byte) []byte { binary.LittleEndian.PutUint32(b[4:], size+500); return b }, "ends 500 bytes before"},
		{"size beyond all bounds", func(b []byte) []byte { binary.LittleEndian.PutUint32(b[4:], 0xFFFFFFFF); return b }, "before the size in its header"},
		{"no checksum", func(b []byte) []byte { return b[:len(b)-2] }, "ends 2 bytes before"},
		{"bytes behind", func(b []byte) []byte { return append(b, "rubbish"...) }, "7 bytes behind the end"},
	} {
		t.Run(c.name, func(t *testing.T) {
			rec := parseOne(t, c.bend(bytes.Clone(data)))
			if rec.Samples.Len() != whole.Samples.Len() || len(rec.Laps) != len(whole.Laps) {
				t.Errorf("%d samples, %d laps", rec.Samples.Len(), len(rec.Laps))
			}
			samePrefix(t, &rec.Samples, &whole.Samples)
			if len(rec.Salvage) != 1 || !strings.Contains(rec.Salvage[0], c.says) {
				t.Errorf("salvage %q, want %q", rec.Salvage, c.says)
			}
		})
	}
}

// TestMissingDefinition takes away each definition of real files in turn. The
// samples do not suffer, unless it was the records' own.
func TestMissingDefinition(t *testing.T) {
	for _, path := range []string{
		"testdata/python-fitparse/sample-activity-indoor-trainer.fit",
		"testdata/dcrainmaker/Edge810-Vector-2013-08-16-15-35-10.fit",
		"testdata/bpg/garmin.fit",
	} {
		data := parsertest.Read(t, parsertest.Tormoder, path)
		whole := parseOne(t, data)
		seen := map[byte]bool{}
		tried := 0
		for _, p := range pieces(t, data) {
			local := data[p.at] & 0x0F
			global := binary.LittleEndian.Uint16(data[p.at+3:])
			if data[p.at+2] == 1 {
				global = binary.BigEndian.Uint16(data[p.at+3:])
			}
			// A second definition of a local number leaves the first in
			// force, under which the messages read as something else.
			again := p.definition && seen[local]
			if p.definition {
				seen[local] = true
			}
			if !p.definition || again || global == msgRecord {
				continue
			}
			tried++
			rec := parseOne(t, resized(append(bytes.Clone(data[:p.at]), data[p.at+p.size:]...)))
			if got, want := rec.Samples.Len(), whole.Samples.Len(); got != want {
				t.Errorf("%s without the definition of message %d: %d samples, want %d; %q", path, global, got, want, rec.Salvage)
				continue
			}
			samePrefix(t, &rec.Samples, &whole.Samples)
			if len(rec.Salvage) == 0 {
				t.Errorf("%s without the definition of message %d: no note", path, global)
			}
		}
		if tried < 3 {
			t.Errorf("%s: only %d definitions tried", path, tried)
		}
	}
}

// TestRubbishInside puts random bytes between and over messages of a real
// file: the samples around survive, and no more than a few are lost.
func TestRubbishInside(t *testing.T) {
	data := trainer(t)
	whole := parseOne(t, data)
	times := map[int64]bool{}
	for _, ms := range whole.Samples.TimeMS {
		times[ms] = true
	}
	all := pieces(t, data)
	rng := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		p := all[200+rng.IntN(len(all)-400)]
		rubbish := make([]byte, 1+rng.IntN(40))
		for i := range rubbish {
			rubbish[i] = byte(rng.Uint32())
		}
		cut := p.at
		if rng.IntN(2) == 0 {
			cut += p.size / 2 // half a message is lost as well
		}
		rec := parseOne(t, resized(append(append(bytes.Clone(data[:p.at]), rubbish...), data[cut:]...)))
		kept := 0
		for _, ms := range rec.Samples.TimeMS {
			if times[ms] {
				kept++
			}
		}
		if kept < whole.Samples.Len()-12 || rec.Samples.Len()-kept > 2 {
			t.Errorf("%d bytes at %d: %d of %d samples kept, %d invented; %q",
				len(rubbish), p.at, kept, whole.Samples.Len(), rec.Samples.Len()-kept, rec.Salvage)
		}
	}
}

// TestNoFileID reads a file whose first message was lost.
func TestNoFileID(t *testing.T) {
	data := trainer(t)
	whole := parseOne(t, data)
	all := pieces(t, data)
	rec := parseOne(t, resized(append(bytes.Clone(data[:all[0].at]), data[all[2].at:]...)))
	samePrefix(t, &rec.Samples, &whole.Samples)
	if rec.Samples.Len() != whole.Samples.Len() || len(rec.Salvage) != 1 {
		t.Errorf("%d samples, salvage %q", rec.Samples.Len(), rec.Salvage)
	}
}

// TestConcurrent reads compressed distances in parallel: the decoder keeps
// their sum in a variable shared by all files, which must not be reached.
func TestConcurrent(t *testing.T) {
	data := parsertest.Read(t, parsertest.Tormoder, "testdata/python-fitparse/compressed-speed-distance.fit")
	want := parseOne(t, data)
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() {
			for range 5 {
				recs, err := Parse(data, recording.Limits{})
				if err != nil || !equalColumn(recs[0].Samples.Distance, want.Samples.Distance) {
					t.Error("reading in parallel changed the distances")
				}
			}
		})
	}
	wg.Wait()
}
