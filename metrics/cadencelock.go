package metrics

import "math"

// cadenceLockBeats is how far, in beats a minute, a heart rate may lie from
// the cadence and still be the count of it: both are rounded, and read a
// second apart.
const cadenceLockBeats = 2

// CadenceLock is the share of seconds, in percent, in which the heart rate
// equals the cadence or twice it: optical sensors and loose straps that take
// the steps for the pulse. Cadence counts revolutions, or strides of one leg,
// so that steps are twice it. NaN without a minute of seconds that have both.
// A heart may meet the cadence by chance, but leaves it again: only a large
// share tells anything. Common practice, no source.
func CadenceLock(hr, cadence []float64) float64 {
	both, equal := 0, 0
	for i := range min(len(hr), len(cadence)) {
		if math.IsNaN(hr[i]) || !(cadence[i] > 0) {
			continue
		}
		both++
		if math.Abs(hr[i]-cadence[i]) <= cadenceLockBeats || math.Abs(hr[i]-2*cadence[i]) <= cadenceLockBeats {
			equal++
		}
	}
	if both < 60 {
		return math.NaN()
	}
	return 100 * float64(equal) / float64(both)
}
