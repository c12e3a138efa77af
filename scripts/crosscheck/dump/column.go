package main

import (
	"math"
	"strconv"
)

// column is a column of figures in JSON: null where one is missing, else the
// shortest digits that read back exactly. A column that is not there at all is
// null as a whole.
type column []float64

// MarshalJSON implements [encoding/json.Marshaler].
func (c column) MarshalJSON() ([]byte, error) {
	if c == nil {
		return []byte("null"), nil
	}
	text := []byte{'['}
	for i, v := range c {
		if i > 0 {
			text = append(text, ',')
		}
		text = appendFigure(text, v)
	}
	return append(text, ']'), nil
}

// figure is one number in JSON, null when it is missing.
type figure float64

// MarshalJSON implements [encoding/json.Marshaler].
func (f figure) MarshalJSON() ([]byte, error) { return appendFigure(nil, float64(f)), nil }

// appendFigure writes one number.
func appendFigure(text []byte, v float64) []byte {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return append(text, "null"...)
	}
	return strconv.AppendFloat(text, v, 'g', -1, 64)
}
