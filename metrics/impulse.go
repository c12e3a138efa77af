package metrics

import "math"

// Sex is what the training impulse and other sex-specific constants go by.
type Sex string

// The sexes that published constants exist for; empty when not known.
const (
	Female Sex = "female"
	Male   Sex = "male"
)

// TrainingImpulse is Banister's training impulse: the sum over time of
//
//	minutes · x · a · e^(b·x),   x = (HR − rest)/(max − rest)
//
// with a, b = 0.64, 1.92 for men and 0.86, 1.67 for women (Banister EW 1991;
// Morton RH, Fitz-Clarke JR, Banister EW, J Appl Physiol 1990;69:1171–1177;
// the constants are from memory, and some texts keep 0.64 for both sexes).
//
// It is summed second by second. The weight is convex, so that the figure
// from a session's mean heart rate, which older texts use, is always lower.
// A second below the resting rate counts as rest; one above the maximal rate
// counts as it is. Seconds without heart rate count nothing: read it beside
// the heart rate's coverage. NaN without any, without both rates, or with a
// sex that has no constants.
func TrainingImpulse(hr Counts, restHR, maxHR float64, sex Sex) float64 {
	var factor, exponent float64
	switch sex {
	case Male:
		factor, exponent = 0.64, 1.92
	case Female:
		factor, exponent = 0.86, 1.67
	default:
		return math.NaN()
	}
	if !(maxHR > restHR) || len(hr) == 0 {
		return math.NaN()
	}
	sum := 0.0
	for _, c := range hr {
		x := max(0, (c.Value-restHR)/(maxHR-restHR))
		sum += float64(c.Seconds) / 60 * x * factor * math.Exp(exponent*x)
	}
	return sum
}
