package practice

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"
	_ "time/tzdata" // zones must load on a machine that has none installed
)

// setting describes one key of practice.toml: where it goes, what it may be,
// and what the template says of it.
type setting struct {
	key    string                // section.name, or name at the top level
	field  func(*Settings) any   // *bool, *int, *int64, *float64 or *string
	value  any                   // the default: of the field's type
	low    float64               // lowest number allowed
	high   float64               // highest number allowed
	words  []string              // strings allowed; nil for any
	what   string                // what it does
	source string                // why the default is what it is
	accept func(*Settings) error // further check and derived fields; nil for none
}

// noSource marks a default that is common practice.
const noSource = "common practice, no source"

// settings lists every key, in the order of the template.
var settings = slices.Concat(generalSettings, boutSettings, kindSettings, progressSettings, findingSettings, capacitySettings, limitSettings)

// DefaultSettings holds when practice.toml is missing or silent.
func DefaultSettings() Settings {
	var s Settings
	for _, d := range settings {
		if err := d.set(&s, d.value); err != nil {
			panic(fmt.Sprintf("practice: default of %s: %v", d.key, err))
		}
	}
	return s
}

// set puts a value, as TOML gives it, into its field, or says why it cannot
// be.
func (d setting) set(s *Settings, value any) error {
	switch field := d.field(s).(type) {
	case *bool:
		v, ok := value.(bool)
		if !ok {
			return fmt.Errorf("must be true or false")
		}
		*field = v
	case *string:
		v, ok := value.(string)
		if !ok {
			return fmt.Errorf("must be text in quotation marks")
		}
		if d.words != nil && !slices.Contains(d.words, v) {
			return fmt.Errorf("unknown word %q%s; use one of %s", v, nearest(v, d.words), strings.Join(d.words, ", "))
		}
		*field = v
	case *int:
		v, err := d.whole(value)
		if err != nil {
			return err
		}
		*field = int(v)
	case *int64:
		v, err := d.whole(value)
		if err != nil {
			return err
		}
		*field = int64(v)
	case *float64:
		v, err := d.number(value)
		if err != nil {
			return err
		}
		*field = v
	default:
		panic(fmt.Sprintf("practice: %s is a %T, which no setting can be", d.key, field))
	}
	if d.accept != nil {
		return d.accept(s)
	}
	return nil
}

// number reads a number within the setting's range.
func (d setting) number(value any) (float64, error) {
	var v float64
	switch x := value.(type) {
	case int:
		v = float64(x)
	case int64:
		v = float64(x)
	case float64:
		v = x
	default:
		return 0, fmt.Errorf("must be a number without quotation marks")
	}
	// Written so that a NaN, which TOML can hold, is refused too.
	if !(v >= d.low && v <= d.high) {
		return 0, fmt.Errorf("%s is out of range; give %s to %s", brief(v), brief(d.low), brief(d.high))
	}
	return v, nil
}

// whole reads a whole number within the setting's range.
func (d setting) whole(value any) (float64, error) {
	v, err := d.number(value)
	if err == nil && v != math.Trunc(v) {
		err = fmt.Errorf("must be a whole number")
	}
	return v, err
}

// section is the part of the key before the dot, "" at the top level.
func (d setting) section() string {
	section, _, found := strings.Cut(d.key, ".")
	if !found {
		return ""
	}
	return section
}

// name is the part of the key after the dot.
func (d setting) name() string { return d.key[strings.LastIndex(d.key, ".")+1:] }

// loadZone turns the time zone's name into the zone. An empty name and
// "Local" are refused: they would mean another zone on another machine.
func loadZone(s *Settings) error {
	zone, err := time.LoadLocation(s.TimeZone)
	if err != nil || s.TimeZone == "" || s.TimeZone == "Local" {
		return fmt.Errorf("unknown time zone %q; give an IANA name such as Europe/Berlin or UTC", s.TimeZone)
	}
	s.Location = zone
	return nil
}
