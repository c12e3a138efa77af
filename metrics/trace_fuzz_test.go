package metrics

import (
	"encoding/binary"
	"math"
	"testing"
)

// fuzzColumns reads samples from bytes: 8 bytes of time step, then 8 of a
// value that every channel shares, a sample at a time. Any step and any bit
// pattern can come up.
func fuzzColumns(data []byte) Columns {
	const size = 16
	n := len(data) / size
	in := Columns{TimeMS: make([]int64, n)}
	now := int64(0)
	values := make([]float64, n)
	for i := range n {
		now += int64(binary.LittleEndian.Uint64(data[i*size:]))
		in.TimeMS[i] = now
		values[i] = math.Float64frombits(binary.LittleEndian.Uint64(data[i*size+8:]))
	}
	for _, spec := range ChannelSpecs {
		if spec.Name != "speed" { // made from distance
			*spec.Column(&in.Channels) = values
		}
	}
	return in
}

func fuzzBytes(steps []int64, values []float64) []byte {
	var data []byte
	for i := range steps {
		data = binary.LittleEndian.AppendUint64(data, uint64(steps[i]))
		data = binary.LittleEndian.AppendUint64(data, math.Float64bits(values[i]))
	}
	return data
}

// FuzzBuildTrace holds that no samples, however wrong their times and values,
// make a trace that is not one.
func FuzzBuildTrace(f *testing.F) {
	f.Add([]byte{})
	f.Add(fuzzBytes([]int64{epochMS, 1000, 1000, 10_000, 11_000}, []float64{100, 101, 102, 103, 104}))
	f.Add(fuzzBytes([]int64{epochMS, 0, -5000, 1000, 1000}, []float64{100, 180, math.NaN(), math.Inf(1), 0}))
	f.Add(fuzzBytes([]int64{math.MinInt64, math.MaxInt64, math.MaxInt64}, []float64{1e308, -1e308, 5e-324}))
	f.Add(fuzzBytes([]int64{631_065_600_000, 1000, 1_142_000_000_000, 1000, 1000}, []float64{60, 61, 62, 63, 64}))
	f.Fuzz(func(t *testing.T, data []byte) {
		in := fuzzColumns(data)
		for _, onFoot := range []bool{false, true} {
			tr, rep := BuildTrace(in, onFoot)
			checkTrace(t, in, &tr, rep)
		}
	})
}
