package tables

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"reflect"

	"github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/compress/zstd"
)

// SchemaVersion counts changes of the tables that a reader must know of. It
// stands in every Parquet file's metadata.
const SchemaVersion = "2"

// Table is one table: its name, what a row is, and its columns.
type Table struct {
	Name    string
	Meaning string
	Columns []Column
	CSV     bool // false for tables that exist as Parquet only

	row reflect.Type
}

// The tables, in the order of the dictionary.
var (
	Files      = newTable[File]("files", true)
	Sessions   = newTable[Session]("sessions", true)
	Bouts      = newTable[Bout]("bouts", true)
	BandTimes  = newTable[BandTime]("band_time", true)
	Weeks      = newTable[Week]("weeks", true)
	Answers    = newTable[Answer]("answers", true)
	Progresses = newTable[Progress]("progress", true)
	Capacities = newTable[Capacity]("capacity", true)
	Findings   = newTable[Finding]("findings", true)
	Samples    = newTable[Sample]("samples", false)
)

// All lists every table.
func All() []*Table {
	return []*Table{Files, Sessions, Bouts, BandTimes, Weeks, Answers, Progresses, Capacities, Findings, Samples}
}

func newTable[R any](name string, csv bool) *Table {
	row := reflect.TypeFor[R]()
	return &Table{Name: name, Meaning: comments()[row.Name()], Columns: columnsOf(row), CSV: csv, row: row}
}

// compression is shared, and with it its encoders: to make one costs more than
// to compress a client's rows.
var compression = &zstd.Codec{Level: zstd.SpeedDefault}

// EncodeParquet writes rows as one Parquet file. Columns are rounded to their
// digits first. Equal rows give equal bytes.
func EncodeParquet[R any](t *Table, rows []R) ([]byte, error) {
	t.mustHold(reflect.TypeFor[R]())
	options := []parquet.WriterOption{
		parquet.Compression(compression),
		parquet.CreatedBy("boutwise", SchemaVersion, "go"),
		parquet.KeyValueMetadata("boutwise.table", t.Name),
		parquet.KeyValueMetadata("boutwise.schema_version", SchemaVersion),
		parquet.KeyValueMetadata("boutwise.meaning", t.Meaning),
	}
	for _, c := range t.Columns {
		options = append(options, parquet.KeyValueMetadata("column."+c.Name, c.describe()))
	}
	var buf bytes.Buffer
	w := parquet.NewGenericWriter[R](&buf, options...)
	// Row by row: given many rows at once, version 0.32 of the library takes
	// empty optional strings behind a run of present ones for present.
	out := rounded(t, rows)
	for i := range out {
		if _, err := w.Write(out[i : i+1]); err != nil {
			return nil, fmt.Errorf("table %s: %w", t.Name, err)
		}
	}
	if err := w.Close(); err != nil {
		return nil, fmt.Errorf("table %s: %w", t.Name, err)
	}
	return buf.Bytes(), nil
}

// DecodeParquet reads rows back from one Parquet file.
func DecodeParquet[R any](t *Table, file []byte) ([]R, error) {
	t.mustHold(reflect.TypeFor[R]())
	r := parquet.NewGenericReader[R](bytes.NewReader(file))
	defer r.Close()
	rows := make([]R, r.NumRows())
	n, err := r.Read(rows)
	if err != nil && err != io.EOF {
		return nil, fmt.Errorf("table %s: %w", t.Name, err)
	}
	return rows[:n], nil
}

// describe is a column's unit and meaning as one line of metadata.
func (c Column) describe() string {
	s := c.Meaning
	if c.Unit != "" {
		s = "[" + c.Unit + "] " + s
	}
	if c.Source != "" {
		s += " Source: " + c.Source + "."
	}
	return s
}

func (t *Table) mustHold(row reflect.Type) {
	if t.row != row {
		panic(fmt.Sprintf("tables: %s holds %v, not %v", t.Name, t.row, row))
	}
}

// rounded copies rows with every number rounded to its column's digits, so
// that both formats carry the same value and no figure claims more than it
// knows.
func rounded[R any](t *Table, rows []R) []R {
	out := append([]R(nil), rows...)
	for i := range out {
		v := reflect.ValueOf(&out[i]).Elem()
		for _, c := range t.Columns {
			if c.digits < 0 {
				continue
			}
			f := v.Field(c.field)
			if f.Kind() != reflect.Pointer {
				f.SetFloat(round(f.Float(), c.digits))
			} else if !f.IsNil() {
				x := round(f.Elem().Float(), c.digits)
				f.Set(reflect.ValueOf(&x))
			}
		}
	}
	return out
}

// round keeps the given decimals; a result of negative zero is zero.
func round(x float64, digits int) float64 {
	scale := math.Pow10(digits)
	return math.Round(x*scale)/scale + 0
}
