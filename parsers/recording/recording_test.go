package recording

import (
	"errors"
	"math"
	"strings"
	"testing"
)

// TestContain: a panic in a library becomes damage, an error stays itself.
func TestContain(t *testing.T) {
	err := Contain(FIT, "some library", func() error { panic("index out of range") })
	if !errors.Is(err, ErrDamaged) || !strings.Contains(err.Error(), "some library gave up: index out of range") {
		t.Errorf("a panic became %v", err)
	}
	plain := errors.New("plain")
	if err := Contain(FIT, "some library", func() error { return plain }); err != plain {
		t.Errorf("an error became %v", err)
	}
	if err := Contain(FIT, "some library", func() error { return nil }); err != nil {
		t.Errorf("no error became %v", err)
	}
}

// TestParseErrorText holds the one line: format, place, reason, detail, remedy.
func TestParseErrorText(t *testing.T) {
	for _, c := range []struct {
		err  ParseError
		want string
	}{
		{ParseError{Format: TCX, Offset: -1, Line: 7, Reason: ErrTooLarge, Detail: "more", Remedy: "less"},
			"tcx: line 7: larger than the limit: more; less"},
		{ParseError{Format: FIT, Offset: 14, Reason: ErrDamaged}, "fit: byte 14: too damaged to read"},
		{ParseError{Offset: -1, Reason: ErrEncrypted}, "encrypted"},
	} {
		if got := c.err.Error(); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
		if !errors.Is(&c.err, c.err.Reason) {
			t.Errorf("%v does not unwrap to its reason", &c.err)
		}
	}
}

func TestDropEmpty(t *testing.T) {
	nan := math.NaN()
	s := Samples{
		TimeMS: []int64{0, 1}, HeartRate: []float64{nan, 100}, Power: []float64{nan, nan},
		Speed: []float64{math.Inf(1), 2}, Grade: []float64{math.Inf(-1), nan}, Cadence: []float64{0, nan},
		Position: &Position{Latitude: []float64{1, nan}, Longitude: []float64{nan, nan}},
	}
	s.DropEmpty()
	if s.HeartRate == nil || s.Cadence == nil || s.Speed == nil || !math.IsNaN(s.Speed[0]) {
		t.Errorf("dropped or kept too much: %+v", s)
	}
	if s.Power != nil || s.Grade != nil || s.Position != nil || s.Altitude != nil {
		t.Errorf("kept an empty column: %+v", s)
	}
}

func TestLimitsWithDefaults(t *testing.T) {
	l := Limits{MaxSamples: 7}.WithDefaults()
	want := DefaultLimits()
	want.MaxSamples = 7
	if l != want {
		t.Errorf("%+v, want %+v", l, want)
	}
}
