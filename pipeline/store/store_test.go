package store

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"boutwise/metrics"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

func openTemp(t testing.TB) *Store {
	s, err := Open(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return s
}

// hourTrace is an hour of cycling as a trace builder makes it.
func hourTrace() *metrics.Trace {
	rng := rand.New(rand.NewPCG(3, 1))
	var in metrics.Columns
	hr, power := 110.0, 120.0
	for i := range 3600 {
		if i > 1000 && i < 1090 {
			continue // a pause
		}
		hr += rng.NormFloat64() * 0.6
		power += rng.NormFloat64()*8 - (power-130)*0.05
		in.TimeMS = append(in.TimeMS, 1770000000000+int64(i)*1000)
		in.HeartRate = append(in.HeartRate, math.Round(hr))
		in.Power = append(in.Power, math.Round(math.Max(0, power)))
		in.Speed = append(in.Speed, 8+0.01*power+rng.NormFloat64()*0.05)
	}
	in.HeartRate[50] = math.NaN()
	tr, _ := metrics.BuildTrace(in, false)
	return &tr
}

func TestTraceRoundTrip(t *testing.T) {
	s, want := openTemp(t), hourTrace()
	sum, err := s.WriteTrace("lene", "abc-0", want)
	if err != nil {
		t.Fatal(err)
	}
	got, err := s.ReadTrace("lene", "abc-0", sum)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(want, got, cmpopts.EquateNaNs()); diff != "" {
		t.Errorf("trace changed (-want +got):\n%s", diff)
	}
	info, err := os.Stat(s.tracePath("lene", "abc-0"))
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("an hour of heart rate, power and speed takes %d bytes", info.Size())
	if info.Size() > 20_000 {
		t.Errorf("an hour of three channels takes %d bytes, more than 20 kB", info.Size())
	}
	if info.Mode().Perm() != 0o600 {
		t.Errorf("trace is readable by others: %v", info.Mode())
	}
}

func TestEmptyTrace(t *testing.T) {
	s := openTemp(t)
	sum, err := s.WriteTrace("lene", "none", &metrics.Trace{})
	if err != nil {
		t.Fatal(err)
	}
	if got, err := s.ReadTrace("lene", "none", sum); err != nil || got.N != 0 {
		t.Errorf("got %v, %v", got, err)
	}
}

func TestDamagedTraceIsTold(t *testing.T) {
	s := openTemp(t)
	sum, err := s.WriteTrace("lene", "k", hourTrace())
	if err != nil {
		t.Fatal(err)
	}
	path := s.tracePath("lene", "k")
	file, _ := os.ReadFile(path)
	file[len(file)/2] ^= 1
	os.WriteFile(path, file, 0o600)
	if _, err := s.ReadTrace("lene", "k", sum); !errors.Is(err, ErrNoTrace) {
		t.Errorf("one flipped bit: %v", err)
	}
	os.Remove(path)
	if _, err := s.ReadTrace("lene", "k", sum); !errors.Is(err, ErrNoTrace) {
		t.Errorf("no file: %v", err)
	}
}

// A trace with a channel that this program does not know is read again from
// its export.
func TestTraceOfAnotherVersion(t *testing.T) {
	file, err := encodeTrace(&metrics.Trace{N: 1, Observed: []bool{true}, Recorded: []bool{true}, Channels: metrics.Channels{Cadence: []float64{80}}})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := decodeTrace(bytes.ReplaceAll(file, []byte("cadence"), []byte("cadenza"))); !errors.Is(err, ErrNoTrace) {
		t.Errorf("got %v", err)
	}
}

func TestSecondRunIsTurnedAway(t *testing.T) {
	dir := t.TempDir()
	first, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	_, err = Open(dir)
	if !errors.Is(err, ErrBusy) || !strings.Contains(err.Error(), "process ") {
		t.Errorf("second run: %v", err)
	}
	first.Close()
	again, err := Open(dir)
	if err != nil {
		t.Fatalf("after the first ended: %v", err)
	}
	again.Close()
}

func TestTransactions(t *testing.T) {
	type record struct {
		Name  string
		Value float64
	}
	s := openTemp(t)
	stop := errors.New("stop")
	err := s.Update(func(tx *Tx) error {
		if err := Put(tx, Exports, "a/1", record{"x", math.NaN()}); err != nil {
			return err
		}
		return stop
	})
	if !errors.Is(err, stop) {
		t.Fatal(err)
	}
	s.View(func(tx *Tx) error {
		if _, found, _ := Get[record](tx, Exports, "a/1"); found {
			t.Error("a failed transaction left a record")
		}
		return nil
	})
	err = s.Update(func(tx *Tx) error {
		for _, key := range []string{"b/1", "a/2", "a/1"} {
			if err := Put(tx, Exports, key, record{key, 1}); err != nil {
				return err
			}
		}
		return Delete(tx, Exports, "a/2")
	})
	if err != nil {
		t.Fatal(err)
	}
	var keys []string
	s.View(func(tx *Tx) error {
		return Each(tx, Exports, "a/", func(key string, r record) error {
			keys = append(keys, key+"="+r.Name)
			return nil
		})
	})
	if diff := cmp.Diff([]string{"a/1=a/1"}, keys); diff != "" {
		t.Error(diff)
	}
}

func TestEachText(t *testing.T) {
	type inner struct {
		_    struct{} `cbor:",toarray"`
		Note string
		Raw  uint64
	}
	type record struct {
		Names map[string]int
		Deep  []inner
		At    *string
	}
	s, word := openTemp(t), "pointer"
	err := s.Update(func(tx *Tx) error {
		return Put(tx, Measured, "key", record{map[string]int{"name": 1}, []inner{{Note: "deep", Raw: 0x6331633163316331}}, &word})
	})
	if err != nil {
		t.Fatal(err)
	}
	var texts []string
	s.View(func(tx *Tx) error {
		return EachText(tx, func(b Bucket, text string) { texts = append(texts, string(b)+" "+text) })
	})
	slices.Sort(texts)
	want := []string{
		"measured At", "measured Deep", "measured Names", "measured deep", "measured key", "measured name", "measured pointer",
	}
	if diff := cmp.Diff(want, texts); diff != "" {
		t.Error(diff)
	}
}

func TestNewerStoreIsRefused(t *testing.T) {
	dir := t.TempDir()
	s, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	s.Update(func(tx *Tx) error {
		return tx.tx.Bucket([]byte(meta)).Put([]byte("format_version"), []byte{0, 0, 0, FormatVersion + 1})
	})
	s.Close()
	if _, err := Open(dir); !errors.Is(err, ErrNewer) {
		t.Errorf("got %v", err)
	}
}

// A record of an older program, with fewer fields or others, is no record: the
// run after an upgrade reads anew. Damage is an error still.
func TestRecordsOfAnotherVersion(t *testing.T) {
	type old struct {
		_    struct{} `cbor:",toarray"`
		Size int
		Name string
	}
	type grown struct {
		_     struct{} `cbor:",toarray"`
		Size  int
		Limit uint32
		Name  string
	}
	type swapped struct {
		_    struct{} `cbor:",toarray"`
		Name string
		Size int
	}
	s := openTemp(t)
	err := s.Update(func(tx *Tx) error {
		if err := Put(tx, Exports, "a", old{Size: 3, Name: "x"}); err != nil {
			return err
		}
		return tx.tx.Bucket([]byte(Exports)).Put([]byte("z"), []byte{0x83, 1})
	})
	if err != nil {
		t.Fatal(err)
	}
	s.View(func(tx *Tx) error {
		if got, found, err := Get[grown](tx, Exports, "a"); found || err != nil || got != (grown{}) {
			t.Errorf("with a field more: %v, %v, %v", got, found, err)
		}
		if got, found, err := Get[swapped](tx, Exports, "a"); found || err != nil {
			t.Errorf("with other types: %v, %v, %v", got, found, err)
		}
		if got, found, err := Get[old](tx, Exports, "a"); !found || err != nil || got.Size != 3 {
			t.Errorf("as it was: %v, %v, %v", got, found, err)
		}
		if _, _, err := Get[old](tx, Exports, "z"); err == nil {
			t.Error("damage passes for another version")
		}
		if err := Each(tx, Exports, "a", func(string, grown) error { t.Error("listed"); return nil }); err != nil {
			t.Error(err)
		}
		return nil
	})
}

// Ten years of nights, each with one new export among few clients, rewrite the
// same pages again and again: the pages that a night frees are used by the
// next ones, so that the file stays in proportion to what it holds.
func TestYearsOfNightsDoNotBloat(t *testing.T) {
	type record struct {
		_    struct{} `cbor:",toarray"`
		Path string
		Body []byte
	}
	const nights, clients = 3650, 10
	s := openTemp(t)
	s.db.NoSync = true          // the size is asked for, not the waiting
	s.db.AllocSize = 256 * 1024 // small steps, which show it
	rng := rand.New(rand.NewPCG(1, 10))
	body := func(n int) []byte {
		b := make([]byte, n)
		for i := range b {
			b[i] = byte(rng.Uint32())
		}
		return b
	}
	held := 0
	for night := range nights {
		client := fmt.Sprintf("c%d", night%clients)
		err := s.Update(func(tx *Tx) error {
			// The export and its session; the client's own record and the
			// files that are written for it are replaced.
			path := fmt.Sprintf("%s/%05d.fit", client, night)
			return errors.Join(
				Put(tx, Exports, path, record{Path: path, Body: body(600)}),
				Put(tx, Measured, path, record{Path: path, Body: body(1500)}),
				Put(tx, Clients, client, record{Path: client, Body: body(4000 + night)}),
				Put(tx, Outputs, client+"/sessions", record{Path: client, Body: body(64)}))
		})
		if err != nil {
			t.Fatal(err)
		}
		held += 600 + 1500
	}
	held += clients * (4000 + nights)
	info, err := os.Stat(s.recordsPath())
	if err != nil {
		t.Fatal(err)
	}
	t.Logf("after %d nights %d kB hold %d kB", nights, info.Size()>>10, held>>10)
	if info.Size() > 3*int64(held) {
		t.Errorf("%d kB hold %d kB", info.Size()>>10, held>>10)
	}
	if err := s.Compact(); err != nil {
		t.Fatal(err)
	}
	compact, err := os.Stat(s.recordsPath())
	if err != nil || compact.Size() > info.Size() {
		t.Errorf("compacting made %d kB of %d: %v", compact.Size()>>10, info.Size()>>10, err)
	}
	t.Logf("compacted: %d kB", compact.Size()>>10)
	s.View(func(tx *Tx) error {
		if got, found, err := Get[record](tx, Measured, "c3/00003.fit"); !found || err != nil || len(got.Body) != 1500 {
			t.Errorf("after compacting: %d bytes, %v, %v", len(got.Body), found, err)
		}
		return nil
	})
}

func BenchmarkTraceEncode(b *testing.B) {
	tr := hourTrace()
	for b.Loop() {
		if _, err := encodeTrace(tr); err != nil {
			b.Fatal(err)
		}
	}
}
