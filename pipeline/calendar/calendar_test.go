package calendar

import (
	"testing"
	"time"
)

// ISO 8601 weeks around the turn of the year; the days are those of the
// standard's rule that week 1 holds the year's first Thursday.
func TestISOWeek(t *testing.T) {
	for day, want := range map[string][2]string{
		"2026-01-01": {"2026-W01", "2025-12-29"},
		"2027-01-01": {"2026-W53", "2026-12-28"},
		"2025-12-28": {"2025-W52", "2025-12-22"},
		"1969-12-31": {"1970-W01", "1969-12-29"},
	} {
		d, err := ParseDate(day)
		if err != nil {
			t.Fatal(err)
		}
		if d.ISOWeek() != want[0] || d.Monday().String() != want[1] || d.String() != day {
			t.Errorf("%s: week %s from %s, want %v", d, d.ISOWeek(), d.Monday(), want)
		}
	}
}

func TestDateOfUsesItsZone(t *testing.T) {
	late := time.Date(2026, 3, 1, 23, 30, 0, 0, time.UTC)
	east := late.In(time.FixedZone("", 3600))
	if DateOf(late).String() != "2026-03-01" || DateOf(east).String() != "2026-03-02" {
		t.Errorf("got %s and %s", DateOf(late), DateOf(east))
	}
}

func TestParseDateRefuses(t *testing.T) {
	for _, s := range []string{"", "2026-02-30", "1.3.2026", "2026-3-1"} {
		if d, err := ParseDate(s); err == nil {
			t.Errorf("%q read as %s", s, d)
		}
	}
}
