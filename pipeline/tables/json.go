package tables

import (
	"reflect"
	"time"

	"boutwise/pipeline/calendar"
)

// timeLayout is RFC 3339 with as many decimals as there are, three at most.
const timeLayout = "2006-01-02T15:04:05.999Z07:00"

// Fields is a row by its columns' names, ready for JSON: rounded as in the
// files, times in RFC 3339, nil where a value is missing.
func Fields[R any](t *Table, row R) map[string]any {
	t.mustHold(reflect.TypeFor[R]())
	v := reflect.ValueOf(rounded(t, []R{row})[0])
	fields := make(map[string]any, len(t.Columns))
	for _, c := range t.Columns {
		fields[c.Name] = jsonValue(v.Field(c.field), c.Optional)
	}
	return fields
}

func jsonValue(v reflect.Value, optional bool) any {
	if v.Kind() == reflect.Pointer {
		if v.IsNil() {
			return nil
		}
		v = v.Elem()
	}
	switch x := v.Interface().(type) {
	case string:
		if x == "" && optional {
			return nil
		}
		return x
	case calendar.Date:
		return x.String()
	case time.Time:
		return x.UTC().Format(timeLayout)
	default:
		return x
	}
}
