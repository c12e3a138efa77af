package metrics

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

func TestAppendTrace(t *testing.T) {
	// part is a trace of as many seconds as its heart rate has.
	part := func(start int64, hr, distance []float64) Trace {
		tr := Trace{StartUnix: start, N: len(hr), Channels: Channels{HeartRate: hr, Distance: distance}}
		for range hr {
			tr.Recorded, tr.Observed = append(tr.Recorded, true), append(tr.Observed, true)
		}
		return tr
	}
	powered := part(105, []float64{120, 121}, nil)
	powered.Power = []float64{200, 210}
	n := missing
	tests := []struct {
		name string
		a, b Trace
		want Trace
	}{
		{"two seconds between", part(100, []float64{100, 101}, []float64{0, 5}), part(104, []float64{110, 111}, []float64{0, 4}),
			Trace{StartUnix: 100, N: 6, Recorded: []bool{true, true, false, false, true, true}, Observed: []bool{true, true, false, false, true, true},
				Channels: Channels{HeartRate: []float64{100, 101, n, n, 110, 111}, Distance: []float64{0, 5, n, n, 5, 9}}}},
		{"at once, the distance going on", part(100, []float64{100, 101}, []float64{0, 5}), part(102, []float64{110}, []float64{8}),
			Trace{StartUnix: 100, N: 3, Recorded: []bool{true, true, true}, Observed: []bool{true, true, true},
				Channels: Channels{HeartRate: []float64{100, 101, 110}, Distance: []float64{0, 5, 8}}}},
		{"a channel of the second part alone", part(103, []float64{100}, nil), powered,
			Trace{StartUnix: 103, N: 4, Recorded: []bool{true, false, true, true}, Observed: []bool{true, false, true, true},
				Channels: Channels{HeartRate: []float64{100, n, 120, 121}, Power: []float64{n, n, 200, 210}}}},
		{"a second in both", part(100, []float64{100, 101}, nil), part(101, []float64{110, 111}, nil),
			Trace{StartUnix: 100, N: 3, Recorded: []bool{true, true, true}, Observed: []bool{true, true, true},
				Channels: Channels{HeartRate: []float64{100, 101, 111}}}},
		{"nothing new", part(100, []float64{100, 101}, nil), part(90, []float64{110, 111}, nil), part(100, []float64{100, 101}, nil)},
	}
	for _, tt := range tests {
		if diff := cmp.Diff(tt.want, AppendTrace(&tt.a, &tt.b), cmpopts.EquateNaNs()); diff != "" {
			t.Errorf("%s (-want +got):\n%s", tt.name, diff)
		}
	}
}
