package main

import (
	"encoding/json"
	"math"
	"testing"
)

func TestColumnJSON(t *testing.T) {
	tests := []struct {
		name string
		in   any
		want string
	}{
		{"no column", column(nil), "null"},
		{"no values", column{}, "[]"},
		{"missing values", column{1, math.NaN(), math.Inf(1)}, "[1,null,null]"},
		{"every digit", column{0.1, 278.20000000000005, 1e21}, "[0.1,278.20000000000005,1e+21]"},
		{"figure", figure(-2.5), "-2.5"},
		{"missing figure", figure(math.NaN()), "null"},
	}
	for _, test := range tests {
		got, err := json.Marshal(test.in)
		if err != nil || string(got) != test.want {
			t.Errorf("%s: %s (%v), want %s", test.name, got, err, test.want)
		}
	}
}

func TestRunRefuses(t *testing.T) {
	for _, args := range [][]string{nil, {"recordings"}, {"numbers", "x"}, {"recordings", "no such file"}, {"recoveries"}, {"recoveries", "no such file"}} {
		if err := run(args); err == nil {
			t.Errorf("%q was accepted", args)
		}
	}
}
