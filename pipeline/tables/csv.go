package tables

import (
	"bytes"
	"encoding/csv"
	"reflect"
	"strconv"
	"time"

	"boutwise/pipeline/calendar"
)

// CSVHeader is the header line of a table.
func (t *Table) CSVHeader() []byte {
	names := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		names[i] = c.Name
	}
	return csvLines([][]string{names})
}

// EncodeCSV writes rows as CSV lines without a header: times in RFC 3339,
// numbers in the shortest form that reads back exactly, missing as empty.
func EncodeCSV[R any](t *Table, rows []R) []byte {
	t.mustHold(reflect.TypeFor[R]())
	lines := make([][]string, len(rows))
	for i, row := range rounded(t, rows) {
		v := reflect.ValueOf(row)
		line := make([]string, len(t.Columns))
		for k, c := range t.Columns {
			line[k] = csvCell(v.Field(c.field))
		}
		lines[i] = line
	}
	return csvLines(lines)
}

func csvLines(lines [][]string) []byte {
	var buf bytes.Buffer
	w := csv.NewWriter(&buf)
	if err := w.WriteAll(lines); err != nil {
		panic("tables: writing to memory: " + err.Error())
	}
	return buf.Bytes()
}

func csvCell(v reflect.Value) string {
	if v.Kind() == reflect.Pointer {
		if v.IsNil() {
			return ""
		}
		v = v.Elem()
	}
	switch x := v.Interface().(type) {
	case string:
		return x
	case bool:
		return strconv.FormatBool(x)
	case int32:
		return strconv.FormatInt(int64(x), 10)
	case int64:
		return strconv.FormatInt(x, 10)
	case float64:
		return strconv.FormatFloat(x, 'f', -1, 64)
	case calendar.Date:
		return x.String()
	case time.Time:
		return x.UTC().Format(timeLayout)
	}
	panic("tables: no CSV form for " + v.Type().String())
}
