package fit

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"boutwise/parsers/recording"
	"boutwise/testdata/checks"
)

// t0 is a timestamp in FIT seconds: 2021-09-08T01:46:40Z (see TestFacts).
const t0 = uint32(1_000_000_000)

// parseOne reads a file that holds one leg.
func parseOne(t *testing.T, data []byte) *recording.Recording {
	t.Helper()
	recs, err := Parse(data, recording.Limits{})
	if err != nil {
		t.Fatal(err)
	}
	if len(recs) != 1 {
		t.Fatalf("%d legs, want 1", len(recs))
	}
	return recs[0]
}

// sound fails when a recording was salvaged.
func sound(t *testing.T, rec *recording.Recording) {
	t.Helper()
	if len(rec.Salvage) > 0 {
		t.Errorf("salvaged: %q", rec.Salvage)
	}
}

// TestFacts checks constants of the format against published values: epoch,
// semicircles and scales as in muktihari/fit's own tests (kit/datetime,
// kit/semicircles), checksums as in its kit/hash/crc16 and for "123456789" as
// CRC-16/ARC is catalogued.
func TestFacts(t *testing.T) {
	fact := func(id, what, source string, class checks.Class, want, got float64) {
		t.Helper()
		checks.Near(t, checks.Check{ID: "fit-" + id, What: what, Source: source, Class: class, Want: want, Tol: 1e-12}, got)
	}
	const library = "muktihari/fit 0.26.1, its own tests"
	header := []byte{14, 32, 84, 8, 214, 204, 9, 0, 46, 70, 73, 84}
	fact("crc-header", "checksum of a header", library, checks.ReferenceLibrary, 0x3238, float64(crc16(0, header)))
	fact("crc-catalogue", "checksum of 123456789", "catalogue entry of CRC-16/ARC", checks.FromMemory, 0xBB3D, float64(crc16(0, []byte("123456789"))))
	b := activity().define(1, 20, []fieldDef{
		{253, 4, tUint32}, {0, 4, tSint32}, {1, 4, tSint32}, {2, 2, tUint16}, {6, 2, tUint16},
		{9, 2, tSint16}, {5, 4, tUint32}, {4, 1, tUint8}, {53, 1, tUint8}, {13, 1, tSint8},
	})
	b.message(1, t0, int32(-91900524), int32(1319585919), uint16(2500), uint16(3456), int16(525), uint32(123456), uint8(80), uint8(64), int8(-5))
	b.message(1, t0+1, int32(536870912), int32(0), uint16(3000), uint16(0), int16(-525), uint32(123456), uint8(80), uint8(0xFF), int8(20))
	b.message(1, t0+2, int32(0x7FFFFFFF), int32(0x7FFFFFFF), uint16(0), uint16(0xFFFF), int16(0x7FFF), uint32(0xFFFFFFFF), uint8(0xFF), uint8(64), int8(0x7F))
	rec := parseOne(t, b.file())
	sound(t, rec)
	s := &rec.Samples
	epoch := time.UnixMilli(s.TimeMS[0]).Add(-time.Duration(t0) * time.Second).Unix()
	fact("epoch", "epoch, 1989-12-31, Unix s", library, checks.ReferenceLibrary, 631065600, float64(epoch))
	fact("latitude", "-91900524 semicircles, °", library, checks.ReferenceLibrary, -7.703012935817242, s.Position.Latitude[0])
	fact("longitude", "1319585919 semicircles, °", library, checks.ReferenceLibrary, 110.6064139958471, s.Position.Longitude[0])
	const profile = "field scales and offsets of muktihari/fit 0.26.1's profile"
	fact("altitude", "altitude of raw 3000, m", profile, checks.ReferenceLibrary, 100, s.Altitude[1])
	fact("speed", "speed of raw 3456, m/s", profile, checks.ReferenceLibrary, 3.456, s.Speed[0])
	fact("grade", "grade of raw 525, %", profile, checks.ReferenceLibrary, 5.25, s.Grade[0])
	fact("distance", "distance of raw 123456, m", profile, checks.ReferenceLibrary, 1234.56, s.Distance[0])
	fact("cadence", "cadence of raw 80 with fraction 64, 1/min", profile, checks.ReferenceLibrary, 80.5, s.Cadence[0])
	nan := math.NaN()
	for _, c := range []struct {
		name      string
		got, want []float64
	}{
		{"latitude", s.Position.Latitude, []float64{-7.703012935817242, 45, nan}},
		{"longitude", s.Position.Longitude, []float64{110.6064139958471, 0, nan}},
		{"altitude", s.Altitude, []float64{0, 100, -500}},
		{"speed", s.Speed, []float64{3.456, 0, nan}},
		{"grade", s.Grade, []float64{5.25, -5.25, nan}},
		{"distance", s.Distance, []float64{1234.56, 1234.56, nan}},
		{"cadence", s.Cadence, []float64{80.5, 80, nan}},
		{"temperature", s.Temperature, []float64{-5, 20, nan}},
	} {
		for i := range c.want {
			if math.Abs(c.got[i]-c.want[i]) > 1e-12 || math.IsNaN(c.got[i]) != math.IsNaN(c.want[i]) {
				t.Errorf("%s: %v, want %v", c.name, c.got, c.want)
				break
			}
		}
	}
	if rec.Device.Serial != "12345" {
		t.Errorf("serial %q", rec.Device.Serial)
	}
}

// TestFieldSizes reads heart rate and power from fields of every unusual make.
func TestFieldSizes(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		name    string
		fields  []fieldDef // behind the timestamp
		values  []any
		hr, pw  float64
		salvage string // part of the only note; "" for none
	}{
		{"as in the profile", []fieldDef{{3, 1, tUint8}, {7, 2, tUint16}}, []any{uint8(120), uint16(200)}, 120, 200, ""},
		{"grown", []fieldDef{{3, 2, tUint16}, {7, 2, tUint16}}, []any{uint16(120), uint16(200)}, 120, 200, "wider than in the profile"},
		{"grown beyond what fits", []fieldDef{{3, 2, tUint16}, {7, 2, tUint16}}, []any{uint16(300), uint16(200)}, nan, 200, ""},
		{"grown sentinel", []fieldDef{{3, 2, tUint16}, {7, 2, tUint16}}, []any{uint16(0xFFFF), uint16(200)}, nan, 200, ""},
		{"an array", []fieldDef{{3, 2, tUint8}, {7, 4, tUint16}}, []any{uint8(120), uint8(9), uint16(200), uint16(9)}, 120, 200, "more values than the profile has"},
		{"narrower than the profile", []fieldDef{{3, 1, tUint8}, {7, 1, tUint8}}, []any{uint8(120), uint8(200)}, 120, 200, ""},
		{"narrow sentinel", []fieldDef{{3, 1, tUint8}, {7, 1, tUint8}}, []any{uint8(120), uint8(255)}, 120, nan, ""},
		{"shorter than its own type", []fieldDef{{3, 1, tUint8}, {7, 1, tUint16}}, []any{uint8(120), uint8(200)}, 120, 200, "has fewer bytes than its own type"},
		{"signed", []fieldDef{{3, 1, tUint8}, {7, 2, tSint16}}, []any{uint8(120), int16(200)}, 120, 200, ""},
		{"negative", []fieldDef{{3, 1, tUint8}, {7, 2, tSint16}}, []any{uint8(120), int16(-3)}, 120, nan, ""},
		{"text", []fieldDef{{3, 1, tUint8}, {7, 4, tString}}, []any{uint8(120), "200\x00"}, 120, nan, "not of the profile's type"},
		{"floating", []fieldDef{{3, 1, tUint8}, {7, 4, tFloat32}}, []any{uint8(120), float32(200)}, 120, nan, "not of the profile's type"},
		{"twice", []fieldDef{{3, 1, tUint8}, {7, 2, tUint16}, {7, 2, tUint16}}, []any{uint8(120), uint16(1), uint16(200)}, 120, 200, ""},
		{"unknown field beside", []fieldDef{{3, 1, tUint8}, {250, 3, tByte}, {7, 2, tUint16}}, []any{uint8(120), "abc", uint16(200)}, 120, 200, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := activity().define(1, 20, append([]fieldDef{{253, 4, tUint32}}, c.fields...))
			b.message(1, append([]any{t0}, c.values...)...)
			rec := parseOne(t, b.file())
			first := func(column []float64) float64 {
				if column == nil {
					return nan
				}
				return column[0]
			}
			if got := first(rec.Samples.HeartRate); got != c.hr && !(math.IsNaN(got) && math.IsNaN(c.hr)) {
				t.Errorf("heart rate %v, want %v", got, c.hr)
			}
			if got := first(rec.Samples.Power); got != c.pw && !(math.IsNaN(got) && math.IsNaN(c.pw)) {
				t.Errorf("power %v, want %v", got, c.pw)
			}
			if notes := strings.Join(rec.Salvage, "; "); (c.salvage == "") != (notes == "") || !strings.Contains(notes, c.salvage) {
				t.Errorf("salvage %q, want %q", notes, c.salvage)
			}
		})
	}
}

// described adds the description of a developer field: number 0 of developer 0.
func described(b *builder, base byte, name, units string, nativeMessage uint16, nativeField uint8) *builder {
	pad := func(s string) string { return s + strings.Repeat("\x00", 16-len(s)) }
	b.define(2, 206, []fieldDef{
		{0, 1, tUint8}, {1, 1, tUint8}, {2, 1, tUint8}, {3, 16, tString}, {8, 16, tString}, {14, 2, tUint16}, {15, 1, tUint8},
	})
	return b.message(2, uint8(0), uint8(0), base, pad(name), pad(units), nativeMessage, nativeField)
}

// TestDeveloperFields reads power out of developer fields.
func TestDeveloperFields(t *testing.T) {
	for _, c := range []struct {
		name    string
		base    byte
		label   string
		units   string
		message uint16
		field   uint8
		native  uint16 // in the record's own power field
		value   any
		want    float64
		noted   bool
	}{
		{"override", tUint16, "P", "watts", 20, 7, 0xFFFF, uint16(250), 250, true},
		{"override beats the native value", tUint16, "P", "watts", 20, 7, 180, uint16(250), 250, true},
		{"override without a value", tUint16, "P", "watts", 20, 7, 180, uint16(0xFFFF), 180, false},
		{"override without a message", tUint16, "P", "watts", 0xFFFF, 7, 0xFFFF, uint16(250), 250, true},
		{"override of another message", tUint16, "P", "watts", 18, 7, 180, uint16(250), 180, false},
		{"override as float", tFloat32, "P", "watts", 20, 7, 0xFFFF, float32(249.6), 250, true},
		{"override not a number", tFloat32, "P", "watts", 20, 7, 180, float32(math.NaN()), 180, false},
		{"override infinite", tFloat32, "P", "watts", 20, 7, 180, float32(math.Inf(1)), 180, false},
		{"stand-in", tUint16, "Power", "Watts", 0xFFFF, 0xFF, 0xFFFF, uint16(250), 250, true},
		{"stand-in gives way", tUint16, "Power", "Watts", 0xFFFF, 0xFF, 180, uint16(250), 180, false},
		{"other name", tUint16, "Form Power", "Watts", 0xFFFF, 0xFF, 180, uint16(250), 180, false},
		{"other unit", tUint16, "Power", "kW", 0xFFFF, 0xFF, 180, uint16(250), 180, false},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := described(activity(), c.base, c.label, c.units, c.message, c.field)
			size := byte(2)
			if c.base == tFloat32 {
				size = 4
			}
			b.define(1, 20, []fieldDef{{253, 4, tUint32}, {7, 2, tUint16}}, fieldDef{0, size, 0})
			b.message(1, t0, c.native, c.value)
			rec := parseOne(t, b.file())
			if got := rec.Samples.Power[0]; got != c.want {
				t.Errorf("power %v, want %v", got, c.want)
			}
			if (len(rec.Salvage) > 0) != c.noted {
				t.Errorf("salvage %q", rec.Salvage)
			}
		})
	}
}

// TestCompressedTimestamps follows the protocol's rule: a header's five bits
// are the low bits of the time, less than 32 s after the last.
func TestCompressedTimestamps(t *testing.T) {
	b := activity().define(1, 20, []fieldDef{{253, 4, tUint32}, {3, 1, tUint8}})
	b.define(2, 20, []fieldDef{{3, 1, tUint8}})
	b.message(0x80|2<<5|5, uint8(99)) // before any reference: no time
	b.message(1, t0, uint8(100))
	low := t0 & 0x1F
	for _, later := range []uint32{1, 10, 31, 40} { // the last wraps twice
		b.message(0x80|2<<5|byte((low+later)&0x1F), uint8(100+later))
	}
	// A message that is not read otherwise sets the reference too.
	b.define(3, 500, []fieldDef{{253, 4, tUint32}}).message(3, t0+100)
	b.message(0x80|2<<5|byte((t0+103)&0x1F), uint8(203))
	rec := parseOne(t, b.file())
	var got []int64
	for _, ms := range rec.Samples.TimeMS {
		got = append(got, ms/1000-epoch-int64(t0))
	}
	want := []int64{0, 1, 10, 31, 40, 103}
	for i := range want {
		if len(got) != len(want) || got[i] != want[i] || rec.Samples.HeartRate[i] != float64(100+want[i]) {
			t.Fatalf("seconds %v with heart rates %v, want %v", got, rec.Samples.HeartRate, want)
		}
	}
	if len(rec.Salvage) != 1 || !strings.Contains(rec.Salvage[0], "1 records without a time") {
		t.Errorf("salvage %q", rec.Salvage)
	}
}

// TestCompressedSpeedDistance expands three bytes: 12 bits of speed in 1/100
// m/s, 12 of distance in 1/16 m that wrap at 256 m.
func TestCompressedSpeedDistance(t *testing.T) {
	b := activity().define(1, 20, []fieldDef{{253, 4, tUint32}, {8, 3, tByte}})
	pack := func(speed, distance uint32) string {
		return string([]byte{byte(speed), byte(speed>>8) | byte(distance<<4), byte(distance >> 4)})
	}
	b.message(1, t0, pack(305, 4000)).message(1, t0+1, pack(0x0F0, 4095))
	b.message(1, t0+2, pack(400, 16)) // 17 sixteenths on, around the wrap
	b.message(1, t0+3, "\xff\xff\xff")
	s := parseOne(t, b.file()).Samples
	nan := math.NaN()
	if want := []float64{3.05, 2.4, 4, nan}; !equalColumn(s.Speed, want) {
		t.Errorf("speed %v, want %v", s.Speed, want)
	}
	// The field holds centimetres.
	for i, want := range []float64{4000. / 16, 4095. / 16, 4112. / 16, nan} {
		if math.Abs(s.Distance[i]-want) > 0.005 || math.IsNaN(s.Distance[i]) != math.IsNaN(want) {
			t.Errorf("distance %v at %d, want %v", s.Distance[i], i, want)
		}
	}
}

// TestHeartbeats ties beats of a strap to the records, its clock wrapping on
// the way.
func TestHeartbeats(t *testing.T) {
	b := activity().define(1, 20, []fieldDef{{253, 4, tUint32}, {5, 4, tUint32}})
	for i := range uint32(12) {
		b.message(1, t0+i, uint32(100*i))
	}
	b.define(2, 132, []fieldDef{{253, 4, tUint32}, {0, 2, tUint16}, {6, 1, tUint8}, {9, 4, tUint32}})
	b.message(2, t0+1, uint16(16384), uint8(100), uint32(3000)) // 1.5 s
	// Two beats in three bytes: 1 s and 3 s later, 12 bits of 4024 and 6072.
	b.define(3, 132, []fieldDef{{6, 2, tUint8}, {10, 3, tByte}})
	lo, hi := uint32(4024), uint32(6072&0xFFF)
	b.message(3, uint8(102), uint8(110), string([]byte{byte(lo), byte(lo>>8) | byte(hi<<4), byte(hi >> 4)}))
	got := parseOne(t, b.file()).Samples.HeartRate
	nan := math.NaN()
	// Beats at 1.5, 2.5 and 4.5 s; each counts for the second that it ends in.
	want := []float64{nan, nan, 100, 102, nan, 110, nan, nan, nan, nan, nan, nan}
	if !equalColumn(got, want) {
		t.Errorf("heart rate %v, want %v", got, want)
	}
}

// TestSession reads what a session, lap, event and activity message say.
func TestSession(t *testing.T) {
	b := activity().define(1, 20, []fieldDef{{253, 4, tUint32}, {3, 1, tUint8}})
	for i := range uint32(60) {
		b.message(1, t0+i, uint8(100))
	}
	b.define(2, 21, []fieldDef{{253, 4, tUint32}, {0, 1, tEnum}, {1, 1, tEnum}})
	b.message(2, t0, uint8(0), uint8(0)).message(2, t0+10, uint8(0), uint8(4))
	b.message(2, t0+25, uint8(0), uint8(0)).message(2, t0+59, uint8(0), uint8(4))
	b.define(3, 19, []fieldDef{{253, 4, tUint32}, {2, 4, tUint32}, {7, 4, tUint32}, {15, 1, tUint8}, {19, 2, tUint16}, {23, 1, tEnum}, {24, 1, tEnum}})
	b.message(3, t0+31, t0, uint32(30_500), uint8(100), uint16(200), uint8(5), uint8(0))
	b.define(4, 18, []fieldDef{{253, 4, tUint32}, {2, 4, tUint32}, {5, 1, tEnum}, {6, 1, tEnum}, {7, 4, tUint32}, {193, 1, tUint8}})
	b.message(4, t0+59, t0, uint8(4), uint8(14), uint32(59_250), uint8(70))
	b.define(5, 34, []fieldDef{{5, 4, tUint32}, {253, 4, tUint32}})
	b.message(5, t0+59+5*3600+1800+2, t0+59) // local time comes first, 2 s late
	rec := parseOne(t, b.file())
	sound(t, rec)
	start := int64(epoch+t0) * 1000
	if rec.Sport != recording.Rowing || !rec.Indoor {
		t.Errorf("sport %s, indoor %v", rec.Sport, rec.Indoor)
	}
	if rec.RatedExertion == nil || *rec.RatedExertion != 7 {
		t.Errorf("rated exertion %v, want 7", rec.RatedExertion)
	}
	if want := 5*time.Hour + 30*time.Minute; rec.UTCOffset == nil || *rec.UTCOffset != want {
		t.Errorf("offset %v, want %v", rec.UTCOffset, want)
	}
	if want := (recording.Pause{StartMS: start + 10_000, EndMS: start + 25_000}); len(rec.Pauses) != 1 || rec.Pauses[0] != want {
		t.Errorf("pauses %v, want %v", rec.Pauses, want)
	}
	want := recording.Lap{StartMS: start, EndMS: start + 30_500, Intensity: "interval", Trigger: "manual", MeanPower: 200, MeanHeartRate: 100}
	if len(rec.Laps) != 1 || rec.Laps[0] != want {
		t.Errorf("laps %+v, want %+v", rec.Laps, want)
	}
	if rec.Totals.ElapsedS != 59.25 || rec.Totals.StartMS != start || !math.IsNaN(rec.Totals.MaxHR) {
		t.Errorf("totals %+v", rec.Totals)
	}
}

// TestNotRead refuses what holds no activity, and says what it is instead.
func TestNotRead(t *testing.T) {
	settings := (&builder{}).define(0, 0, []fieldDef{{0, 1, tEnum}}).message(0, uint8(2))
	untimed := activity().define(1, 20, []fieldDef{{3, 1, tUint8}}).message(1, uint8(100))
	for _, c := range []struct {
		name   string
		data   []byte
		reason error
		says   string
	}{
		{"settings", settings.file(), recording.ErrNoActivity, `"settings"`},
		{"no records", activity().file(), recording.ErrNoSamples, "without records"},
		{"no times", untimed.file(), recording.ErrNoSamples, "no record has a time"},
		{"header only", activity().file()[:14], recording.ErrDamaged, "no whole message"},
		{"no messages", (&builder{}).file(), recording.ErrDamaged, "no whole message"},
	} {
		t.Run(c.name, func(t *testing.T) {
			recs, err := Parse(c.data, recording.Limits{})
			if len(recs) > 0 || !errors.Is(err, c.reason) || !strings.Contains(err.Error(), c.says) {
				t.Errorf("%d legs, %v; want %v saying %q", len(recs), err, c.reason, c.says)
			}
		})
	}
}

// TestLimits refuses more records, laps and beats than asked for.
func TestLimits(t *testing.T) {
	b := activity().define(1, 20, []fieldDef{{253, 4, tUint32}, {3, 1, tUint8}})
	for i := range uint32(11) {
		b.message(1, t0+i, uint8(100))
	}
	for _, c := range []struct {
		lim  recording.Limits
		fits bool
	}{
		{recording.Limits{MaxSamples: 11}, true},
		{recording.Limits{MaxSamples: 10}, false},
	} {
		_, err := Parse(b.file(), c.lim)
		if c.fits != (err == nil) || !c.fits && !errors.Is(err, recording.ErrTooLarge) {
			t.Errorf("%+v: %v", c.lim, err)
		}
	}
	b.define(3, 19, []fieldDef{{2, 4, tUint32}}).message(3, t0).message(3, t0+5)
	if _, err := Parse(b.file(), recording.Limits{MaxMarks: 1}); !errors.Is(err, recording.ErrTooLarge) {
		t.Errorf("two laps with a limit of one: %v", err)
	}
	// Chained files share the limit.
	chained := append(b.file(), b.file()...)
	if _, err := Parse(chained, recording.Limits{MaxSamples: 21}); !errors.Is(err, recording.ErrTooLarge) {
		t.Errorf("22 chained records with a limit of 21: %v", err)
	}
}

// What is chained to a sound file and cannot be used is told; that a chained
// file holds no activity at all is no loss.
func TestChainedFileLeftOutIsTold(t *testing.T) {
	sound := activity().define(1, 20, []fieldDef{{253, 4, tUint32}, {3, 1, tUint8}}).message(1, t0, uint8(100)).message(1, t0+1, uint8(101)).file()
	untimed := activity().define(1, 20, []fieldDef{{3, 1, tUint8}}).message(1, uint8(100)).message(1, uint8(101)).file()
	recs, err := Parse(append(slices.Clone(sound), untimed...), recording.Limits{})
	if err != nil || len(recs) != 1 {
		t.Fatalf("%d recordings, %v", len(recs), err)
	}
	if s := recs[0].Salvage; len(s) != 1 || !strings.Contains(s[0], "left out") || !strings.Contains(s[0], "no record has a time") {
		t.Errorf("salvage %q", s)
	}
}
