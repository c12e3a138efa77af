package demo

import (
	"fmt"
	"time"

	"boutwise/pipeline/practice"
)

// calendar turns the demonstration's weeks, counted from 1, into days and
// instants in the practice's zone.
type calendar struct {
	first practice.Date // Monday of week 1
	zone  *time.Location
}

// newCalendar lays out the weeks that end with the one of lastMonday.
func newCalendar(lastMonday practice.Date) (calendar, error) {
	if lastMonday == 0 {
		lastMonday = defaultLastMonday
	}
	if day := lastMonday.Time().Weekday(); day != time.Monday {
		return calendar{}, fmt.Errorf("the last week must begin on a Monday, %s is a %s", lastMonday, day)
	}
	zone, err := time.LoadLocation(zoneName)
	if err != nil {
		return calendar{}, err
	}
	return calendar{first: lastMonday - 7*(Weeks-1), zone: zone}, nil
}

// day is a weekday (0 Monday) of a week.
func (c calendar) day(week, weekday int) practice.Date {
	return c.first + practice.Date(7*(week-1)+weekday)
}

// at is an instant of that day, given in seconds of the clock on the wall.
func (c calendar) at(week, weekday, second int) time.Time {
	y, m, d := c.day(week, weekday).Time().Date()
	return time.Date(y, m, d, 0, 0, second, 0, c.zone)
}

// isoWeek is the week's name, such as 2026-W14.
func (c calendar) isoWeek(week int) string { return c.day(week, 0).ISOWeek() }
