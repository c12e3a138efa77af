package practice

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
)

// cellReader reads the cells of one row, reporting what is wrong with each.
type cellReader struct {
	*loader
	file string
	row  row
	bad  bool // something in this row could not be read
}

// fail reports a problem of one cell and marks the row.
func (c *cellReader) fail(column, what, remedy string) {
	c.bad = true
	c.report(Problem{c.file, c.row.line, column, what, remedy})
}

// text is a cell that must not be empty.
func (c *cellReader) text(column string) string {
	v := c.row.cells[column]
	if v == "" {
		c.fail(column, "empty", "fill it in, or delete the row")
	}
	return v
}

// choice is a cell that must be one of the words allowed, in any case.
func (c *cellReader) choice(column string, allowed []string) string {
	v := strings.ToLower(c.text(column))
	if v != "" && !slices.Contains(allowed, v) {
		c.fail(column, fmt.Sprintf("unknown word %q%s", v, nearest(v, allowed)), "use one of "+strings.Join(allowed, ", "))
	}
	return v
}

// number is a cell that must hold a number from low to high; NaN when it does
// not. A decimal comma is understood; the unit is named in the message.
func (c *cellReader) number(column string, low, high float64, unit string) float64 {
	v := c.text(column)
	if v == "" {
		return math.NaN()
	}
	x, err := parseNumber(v)
	switch {
	case err != nil:
		c.fail(column, fmt.Sprintf("%q is not a number", v), "write digits only, such as 72 or 72.5")
	case x < low || x > high:
		c.fail(column, measure(v, unit)+" is not possible", "expected "+measure(brief(low)+" to "+brief(high), unit))
	default:
		return x
	}
	return math.NaN()
}

// measure writes a figure with its unit, where it has one.
func measure(figure, unit string) string { return strings.TrimSpace(figure + " " + unit) }

// optionalNumber is number for a cell that may be empty, which gives NaN.
func (c *cellReader) optionalNumber(column string, low, high float64, unit string) float64 {
	if c.row.cells[column] == "" {
		return math.NaN()
	}
	return c.number(column, low, high, unit)
}

// count is a whole number from low to high; 0 when the cell is empty and may
// be, or when it does not hold one.
func (c *cellReader) count(column string, low, high int, unit string, mayBeEmpty bool) int {
	if mayBeEmpty && c.row.cells[column] == "" {
		return 0
	}
	x := c.number(column, float64(low), float64(high), unit)
	if math.IsNaN(x) {
		return 0
	}
	if x != math.Trunc(x) {
		c.fail(column, fmt.Sprintf("%s is not a whole number", brief(x)), "write a whole number")
		return 0
	}
	return int(x)
}

// date is a cell that must hold a calendar day; ok is false when it does not.
func (c *cellReader) date(column string) (d Date, ok bool) {
	v := c.text(column)
	if v == "" {
		return 0, false
	}
	d, what := parseDate(v)
	switch {
	case what != "":
		c.fail(column, what, "write the day as YYYY-MM-DD")
	case d < earliestDate:
		c.fail(column, fmt.Sprintf("%s is before %s", d, earliestDate), "check the year")
	case d > c.today+maxAhead:
		c.fail(column, fmt.Sprintf("%s is more than a year ahead", d), "check the year")
	default:
		return d, true
	}
	return 0, false
}

// earliestDate is the first day that a dated fact may have: before it there
// were no exports whose sessions it could govern, so an earlier one is a slip.
var earliestDate = DateOf(time.Date(1970, 1, 1, 0, 0, 0, 0, time.UTC))

// maxAhead is how far ahead a dated fact may lie: a programme is planned for
// months, not years, so a later one is a slip of the year.
const maxAhead = 366

// parseNumber reads a number with a decimal point or a decimal comma.
func parseNumber(s string) (float64, error) {
	if strings.Count(s, ",") == 1 && !strings.Contains(s, ".") {
		s = strings.Replace(s, ",", ".", 1)
	}
	x, err := strconv.ParseFloat(s, 64)
	if err == nil && (math.IsNaN(x) || math.IsInf(x, 0)) {
		return 0, fmt.Errorf("not finite")
	}
	return x, err
}

var (
	yearFirst = regexp.MustCompile(`^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})$`)
	dayDots   = regexp.MustCompile(`^(\d{1,2})\.(\d{1,2})\.(\d{4})$`)
	slashes   = regexp.MustCompile(`^(\d{1,2})[/-](\d{1,2})[/-](\d{4})$`)
	dayNumber = regexp.MustCompile(`^\d{5}([.,]0*)?$`)
	midnight  = regexp.MustCompile(`[ T]00:00(:00)?Z?$`)
)

// parseDate reads a calendar day, or says what is wrong with it. The year may
// come first; with dots the day comes first, as wherever dots are written.
// With slashes either may come first, so only a day above 12 settles it.
func parseDate(s string) (d Date, what string) {
	s = midnight.ReplaceAllString(s, "") // a spreadsheet's time of day
	if m := yearFirst.FindStringSubmatch(s); m != nil {
		return calendarDay(s, m[1], m[2], m[3])
	}
	if m := dayDots.FindStringSubmatch(s); m != nil {
		return calendarDay(s, m[3], m[2], m[1])
	}
	if m := slashes.FindStringSubmatch(s); m != nil {
		dayFirst, badDayFirst := calendarDay(s, m[3], m[2], m[1])
		monthFirst, badMonthFirst := calendarDay(s, m[3], m[1], m[2])
		switch {
		case badDayFirst == "" && badMonthFirst == "" && dayFirst != monthFirst:
			return 0, fmt.Sprintf("%q may mean %s or %s", s, dayFirst, monthFirst)
		case badDayFirst == "":
			return dayFirst, ""
		default:
			return monthFirst, badMonthFirst
		}
	}
	if dayNumber.MatchString(s) {
		return 0, fmt.Sprintf("%q is a spreadsheet's day number, not a date", s)
	}
	return 0, fmt.Sprintf("%q is not a date", s)
}

// calendarDay builds the day from its parts, or says that there is none.
func calendarDay(s, year, month, day string) (Date, string) {
	y, _ := strconv.Atoi(year)
	m, _ := strconv.Atoi(month)
	d, _ := strconv.Atoi(day)
	t := time.Date(y, time.Month(m), d, 0, 0, 0, 0, time.UTC)
	if t.Year() != y || int(t.Month()) != m || t.Day() != d {
		return 0, fmt.Sprintf("%q is no day of the calendar", s)
	}
	return DateOf(t), ""
}

// brief writes a number with the digits it needs.
func brief(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
