package metrics

import "math"

// cadenceLockBeats is how far, in beats a minute, a heart rate may lie from
// the cadence and still be the count of it: both are rounded, and read a
// second apart.
const cadenceLockBeats = 2

// cadenceNearBeats is how far, in beats a minute, a heart rate that follows the
// cadence late may lie from it. Seconds further off tell nothing of whether it
// follows: a sensor may count steps for a part of a session only.
const cadenceNearBeats = 10

// leastFollowing is the least agreement beyond chance, of what chance leaves,
// of a heart rate that follows the cadence. Simulated hours on foot have 0.6 to
// 0.7 where the sensor counts steps, even steps that hardly vary, and hardly
// ever 0.4 where heart and steps wander about the same rate by themselves.
const leastFollowing = 0.4

// CadenceLock is the share of seconds, in percent, in which the heart rate
// equals the cadence or twice it because it follows it: optical sensors and
// loose straps that take the steps for the pulse. Cadence counts strides of one
// leg, and steps are twice that; a wrist swings once a stride, and some writers
// count steps. It is meant for sports on foot: pedals make no steps, and 120
// beats at 60 revolutions are ordinary.
//
// A heart may well beat for an hour at the rate of its owner's steps, but not
// join in their changes. It follows them when it agrees with the cadence of the
// same second clearly more often than with that of any other second: by
// Cohen's agreement beyond chance (Educ Psychol Meas 1960;20:37–46, from memory)
// among the seconds in which it is near it. Else the share is 0, also where
// neither changes. NaN without a minute of seconds that have both. Common
// practice, no source.
func CadenceLock(hr, cadence []float64) float64 {
	var beats, strides []float64 // of the seconds that are near
	both, agree := 0, 0
	for i := range min(len(hr), len(cadence)) {
		if math.IsNaN(hr[i]) || !(cadence[i] > 0) {
			continue
		}
		both++
		if countsSteps(hr[i], cadence[i], cadenceNearBeats) {
			beats, strides = append(beats, hr[i]), append(strides, cadence[i])
		}
		if countsSteps(hr[i], cadence[i], cadenceLockBeats) {
			agree++
		}
	}
	if both < 60 {
		return math.NaN()
	}
	near := float64(len(beats))
	chance := agreeingPairs(beats, strides) / (near * near)
	// Also where nothing is near, or chance leaves nothing.
	if !((float64(agree)/near-chance)/(1-chance) >= leastFollowing) {
		return 0
	}
	return 100 * float64(agree) / float64(both)
}

// countsSteps tells whether a heart rate may be the count of the steps, to
// within some beats.
func countsSteps(hr, cadence, within float64) bool {
	return math.Abs(hr-cadence) <= within || math.Abs(hr-2*cadence) <= within
}

// agreeingPairs counts the pairs of any heart rate with any cadence that agree.
func agreeingPairs(beats, strides []float64) float64 {
	pairs := 0
	cadences := CountValues(strides)
	for _, h := range CountValues(beats) {
		for _, c := range cadences {
			if countsSteps(h.Value, c.Value, cadenceLockBeats) {
				pairs += h.Seconds * c.Seconds
			}
		}
	}
	return float64(pairs)
}
