package xmlstream

import (
	"math"
	"strconv"
	"strings"
	"time"
)

// timeLayouts are the forms a time is written in: XML Schema's dateTime first,
// then what careless writers make of it. A form without offset is taken as
// UTC, which both formats prescribe. Go reads a fraction after any seconds.
var timeLayouts = []string{
	time.RFC3339,
	"2006-01-02T15:04:05Z0700",
	"2006-01-02T15:04:05",
	"2006-01-02 15:04:05Z07:00",
	"2006-01-02 15:04:05",
}

// Time reads a time; ok is false when the text is none.
//
// The 61st second of a minute, which UTC has now and then and Unix time never,
// is taken as the next minute's first.
func Time(text string) (t time.Time, ok bool) {
	text = strings.TrimSpace(text)
	before, isLeap := beforeLeap(text)
	for _, layout := range timeLayouts {
		if t, err := time.Parse(layout, before); err == nil {
			if isLeap {
				t = t.Add(time.Second)
			}
			return t, true
		}
	}
	return time.Time{}, false
}

// secondsAt is where every layout has its seconds.
const secondsAt = len("2006-01-02T15:04:")

// beforeLeap writes a leap second as the second before it.
func beforeLeap(text string) (before string, isLeap bool) {
	if len(text) < secondsAt+2 || text[secondsAt:secondsAt+2] != "60" {
		return text, false
	}
	return text[:secondsAt] + "59" + text[secondsAt+2:], true
}

// UTCOffset is the offset from UTC that a time was written with, nil for none:
// a time in UTC does not tell where the client was.
func UTCOffset(t time.Time) *time.Duration {
	_, seconds := t.Zone()
	if seconds == 0 {
		return nil
	}
	offset := time.Duration(seconds) * time.Second
	return &offset
}

// Number reads a finite number, be it with a decimal comma; anything else, NaN
// and infinities included, gives NaN.
func Number(text string) float64 {
	v, err := strconv.ParseFloat(Point(text), 64)
	if err != nil || math.IsInf(v, 0) {
		return math.NaN()
	}
	return v
}

// Point gives a number that is written with a decimal comma, as careless
// writers do where that is the custom, with a point instead; other text as it
// is, but for blanks around it. Only digits around one comma are such a number.
// One with a comma for the thousands looks the same, but no writer groups the
// digits of a measurement.
func Point(text string) string {
	text = strings.TrimSpace(text)
	whole, fraction, ok := strings.Cut(text, ",")
	if !ok || !isDigits(strings.TrimPrefix(whole, "-")) || !isDigits(fraction) {
		return text
	}
	return whole + "." + fraction
}

// isDigits tells whether a text is one or more digits.
func isDigits(text string) bool {
	return text != "" && strings.Trim(text, "0123456789") == ""
}
