package review

import (
	"fmt"
	"html/template"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"boutwise/pipeline/calendar"
	"boutwise/pipeline/tables"
	"boutwise/pipeline/units"
)

// absent stands where there is no figure.
const absent = "–"

// words are the functions that templates call.
var words = template.FuncMap{
	"num":      num,
	"whole":    whole,
	"clock":    clock,
	"day":      day,
	"plain":    plain,
	"shortday": func(d calendar.Date) string { return shortDay(d.Time()) },
	"weekday":  func(d calendar.Date) string { return d.Time().Format("Mon 2") },
	"plural":   plural,
	"sentence": sentence,
	"sign":     sign,
	"caution":  func() string { return Caution },
}

// sign marks what has a finding of a severity, beside its name.
func sign(severity string) template.HTML {
	mark := "▲"
	if severity == urgent {
		mark = "■"
	}
	severity = template.HTMLEscapeString(severity)
	return template.HTML(`<strong class="severity ` + severity + `"><span aria-hidden="true">` + mark +
		`</span><span class="unseen">` + severity + `</span></strong>`)
}

// number is what rows hold: a number, or a pointer that is nil when there is
// none; NaN then, and for anything else.
func number(x any) float64 {
	switch x := x.(type) {
	case float64:
		return x
	case *float64:
		return tables.Value(x)
	}
	return math.NaN()
}

// num writes a number with the given decimals. It takes what rows hold: a
// number, or a pointer that may be nil.
func num(digits int, x any) string {
	v := number(x)
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return absent
	}
	s := strconv.FormatFloat(v, 'f', digits, 64)
	// A minus sign, not a hyphen; and no negative zero.
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return strings.Replace(s, "-", "−", 1)
}

func whole(x any) string { return num(0, x) }

// count writes a whole number that may be missing.
func count(n *int32) string {
	if n == nil {
		return absent
	}
	return strconv.Itoa(int(*n))
}

// clock writes seconds as m:ss, or h:mm:ss from an hour on.
func clock(x any) string {
	v := number(x)
	if math.IsNaN(v) {
		return absent
	}
	s := int(math.Round(v))
	if s >= 3600 {
		return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
	}
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

// day writes a day as people say it, with its year: Sat 20 Jun 2026.
func day(d calendar.Date) string { return d.Time().Format("Mon 2 Jan 2006") }

// shortDay leaves out what the axis of a plot has no room for.
func shortDay(t time.Time) string { return t.Format("2 Jan") }

// plain writes a table's word for people: base_with_bursts as base with bursts.
func plain(word string) string {
	if word == "" {
		return absent
	}
	return strings.ReplaceAll(word, "_", " ")
}

// plural writes a count with its noun: 1 bout, 2 bouts.
func plural(n int, thing string) string { return strconv.Itoa(n) + " " + noun(n, thing) }

// noun writes the noun that follows a count.
func noun(n int, thing string) string {
	if n == 1 {
		return thing
	}
	return thing + "s"
}

// outOf writes how many of how many: 2 of 3.
func outOf(n, of int) string { return fmt.Sprintf("%d of %d", n, of) }

// capital makes a sentence of words.
func capital(s string) string {
	first, size := utf8.DecodeRuneInString(s)
	if size == 0 {
		return ""
	}
	return string(unicode.ToUpper(first)) + s[size:]
}

// sentence makes a message stand among sentences: a capital and a full stop.
func sentence(message string) string {
	if message == "" || strings.ContainsAny(message[len(message)-1:], ".?!") {
		return capital(message)
	}
	return capital(message) + "."
}

// outputUnit is what an output signal is shown in, and by how much its value
// is multiplied for it: people say km/h or mph, not m/s.
func outputUnit(signal string, system units.System) (unit string, times float64, digits int) {
	switch signal {
	case "power":
		return "W", 1, 0
	case "oxygen_cost":
		return "mL/kg/min", 1, 1
	case "speed":
		u := system.Speed()
		return u.Name, u.Times, u.Digits
	case heartRate:
		return "bpm", 1, 0
	}
	return "", 1, 1
}

// listed joins words as in a sentence: a, b and c.
func listed(list []string) string {
	if len(list) < 2 {
		return strings.Join(list, "")
	}
	return strings.Join(list[:len(list)-1], ", ") + " and " + list[len(list)-1]
}
