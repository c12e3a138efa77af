// Package calendar holds days and ISO weeks as plain values without a time
// zone.
package calendar

import (
	"fmt"
	"time"
)

// Date is a calendar day, in days since 1970-01-01. It orders and subtracts
// as days do.
type Date int32

// DateOf is the calendar day of t in t's own location.
func DateOf(t time.Time) Date {
	y, m, d := t.Date()
	return Date(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Unix() / 86400)
}

// ParseDate reads YYYY-MM-DD.
func ParseDate(s string) (Date, error) {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return 0, fmt.Errorf("%q is not a day written YYYY-MM-DD", s)
	}
	return DateOf(t), nil
}

// Time is midnight UTC of the day.
func (d Date) Time() time.Time { return time.Unix(int64(d)*86400, 0).UTC() }

// String is the day as YYYY-MM-DD.
func (d Date) String() string { return d.Time().Format(time.DateOnly) }

// Monday is the first day of d's ISO week.
func (d Date) Monday() Date { return d - Date((int(d.Time().Weekday())+6)%7) }

// ISOWeek is the ISO 8601 week of d, as 2026-W10.
func (d Date) ISOWeek() string {
	y, w := d.Time().ISOWeek()
	return fmt.Sprintf("%04d-W%02d", y, w)
}
