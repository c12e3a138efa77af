package store

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"

	"github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/compress/snappy"
	"github.com/parquet-go/parquet-go/encoding/delta"
	"github.com/parquet-go/parquet-go/encoding/plain"

	"boutwise/metrics"
)

// A stored trace has one row a second and, for each channel that was
// measured, one optional column of whole steps, delta-encoded, so that slow
// signals are small. A mask that is true in every second has no column. Start
// and length stand in the metadata.
const (
	startKey       = "boutwise.start_unix"
	secondsKey     = "boutwise.seconds"
	observedColumn = "observed"
	recordedColumn = "recorded"
)

// encodeTrace writes the columns one by one: rows of nullable fields cost
// several times as much.
func encodeTrace(tr *metrics.Trace) ([]byte, error) {
	schema := traceSchema(tr)
	var buf bytes.Buffer
	w := parquet.NewGenericWriter[any](&buf, schema,
		parquet.CreatedBy("boutwise", strconv.Itoa(FormatVersion), "go"),
		parquet.DataPageStatistics(false),
		parquet.KeyValueMetadata(startKey, strconv.FormatInt(tr.StartUnix, 10)),
		parquet.KeyValueMetadata(secondsKey, strconv.Itoa(tr.N)))
	values := make([]parquet.Value, tr.N)
	for i, path := range schema.Columns() {
		switch name := path[0]; name {
		case observedColumn:
			boolValues(values, tr.Observed)
		case recordedColumn:
			boolValues(values, tr.Recorded)
		default:
			spec, _ := channelNamed(name) // the schema is made of them
			stepValues(values, *spec.Column(&tr.Channels), spec.PerUnit)
		}
		if _, err := w.ColumnWriters()[i].WriteRowValues(values); err != nil {
			return nil, fmt.Errorf("store: trace: %w", err)
		}
	}
	if err := w.Close(); err != nil {
		return nil, fmt.Errorf("store: trace: %w", err)
	}
	return buf.Bytes(), nil
}

func decodeTrace(file []byte) (*metrics.Trace, error) {
	f, err := parquet.OpenFile(bytes.NewReader(file), int64(len(file)))
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrNoTrace, err)
	}
	tr := &metrics.Trace{}
	start, _ := f.Lookup(startKey)
	seconds, _ := f.Lookup(secondsKey)
	var startErr, secondsErr error
	tr.StartUnix, startErr = strconv.ParseInt(start, 10, 64)
	tr.N, secondsErr = strconv.Atoi(seconds)
	if err := errors.Join(startErr, secondsErr); err != nil || int64(tr.N) != f.NumRows() && f.NumRows() > 0 {
		return nil, fmt.Errorf("%w: start or length: %w", ErrNoTrace, err)
	}
	tr.Observed, tr.Recorded = allTrue(tr.N), allTrue(tr.N)
	for _, group := range f.RowGroups() {
		for i, chunk := range group.ColumnChunks() {
			if err := decodeColumn(tr, f.Schema().Columns()[i][0], chunk); err != nil {
				return nil, fmt.Errorf("%w: %w", ErrNoTrace, err)
			}
		}
	}
	return tr, nil
}

func decodeColumn(tr *metrics.Trace, name string, chunk parquet.ColumnChunk) error {
	var set func(row int, v parquet.Value)
	switch name {
	case observedColumn:
		set = func(row int, v parquet.Value) { tr.Observed[row] = v.Boolean() }
	case recordedColumn:
		set = func(row int, v parquet.Value) { tr.Recorded[row] = v.Boolean() }
	default:
		spec, known := channelNamed(name)
		if !known {
			return fmt.Errorf("column %s: of another version of the program", name)
		}
		col := make([]float64, tr.N)
		*spec.Column(&tr.Channels) = col
		set = func(row int, v parquet.Value) {
			col[row] = math.NaN()
			if !v.IsNull() {
				col[row] = float64(v.Int32()) / spec.PerUnit
			}
		}
	}
	pages := chunk.Pages()
	defer pages.Close()
	row, buf := 0, make([]parquet.Value, 1024)
	for {
		page, err := pages.ReadPage()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return fmt.Errorf("column %s: %w", name, err)
		}
		for values := page.Values(); ; {
			n, err := values.ReadValues(buf)
			for _, v := range buf[:n] {
				set(row, v)
				row++
			}
			if err == io.EOF {
				break
			}
			if err != nil {
				return fmt.Errorf("column %s: %w", name, err)
			}
		}
		parquet.Release(page)
	}
}

func traceSchema(tr *metrics.Trace) *parquet.Schema {
	flag := compressed(parquet.Encoded(parquet.Leaf(parquet.BooleanType), &plain.Encoding{}))
	group := parquet.Group{}
	if slices.Contains(tr.Observed, false) {
		group[observedColumn] = flag
	}
	if slices.Contains(tr.Recorded, false) {
		group[recordedColumn] = flag
	}
	for _, spec := range metrics.ChannelSpecs {
		if *spec.Column(&tr.Channels) != nil {
			steps := parquet.Encoded(parquet.Int(32), &delta.BinaryPackedEncoding{})
			group[spec.Name] = parquet.Optional(compressed(steps))
		}
	}
	return parquet.NewSchema("trace", group)
}

func allTrue(n int) []bool {
	mask := make([]bool, n)
	for i := range mask {
		mask[i] = true
	}
	return mask
}

// compressed is for what delta encoding leaves compressible. Snappy: these
// pages are a few kilobytes, on which setting up a stronger codec costs more
// than all the rest of writing a trace.
func compressed(n parquet.Node) parquet.Node {
	return parquet.Compressed(n, &snappy.Codec{})
}

func channelNamed(name string) (spec metrics.ChannelSpec, known bool) {
	i := slices.IndexFunc(metrics.ChannelSpecs, func(s metrics.ChannelSpec) bool { return s.Name == name })
	if i < 0 {
		return spec, false
	}
	return metrics.ChannelSpecs[i], true
}

// boolValues and stepValues fill the values of a column. Making a value costs
// more than copying one, and most seconds are like the second before.
func boolValues(dst []parquet.Value, src []bool) {
	no, yes := parquet.BooleanValue(false), parquet.BooleanValue(true)
	for i, b := range src {
		if b {
			dst[i] = yes
		} else {
			dst[i] = no
		}
	}
}

func stepValues(dst []parquet.Value, src []float64, perUnit float64) {
	last, value := math.NaN(), parquet.NullValue()
	for i, x := range src {
		switch {
		case x == last:
		case math.IsNaN(x):
			value = parquet.NullValue()
		default:
			value = parquet.Int32Value(int32(math.Round(x*perUnit))).Level(0, present, 0)
		}
		last, dst[i] = x, value
	}
}

// present is the definition level of an optional value that is there.
const present = 1
