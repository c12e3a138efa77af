package metrics

// ModerateEquivalent is a week's activity in minutes of moderate intensity, a
// vigorous minute counting as two (World Health Organization 2020: Bull FC et
// al., Br J Sports Med 2020;54:1451–1462; implied by its ranges, 75 to 150).
func ModerateEquivalent(moderate, vigorous float64) float64 {
	return moderate + 2*vigorous
}

// The range of moderate-equivalent minutes that the same guideline recommends
// to adults each week.
const (
	WeeklyMinutesLow  = 150
	WeeklyMinutesHigh = 300
)

// WeeklyRange says where a week lies against the recommended range.
type WeeklyRange string

// The places of a week; both ends belong to the range.
const (
	BelowRange  WeeklyRange = "below"
	WithinRange WeeklyRange = "within"
	AboveRange  WeeklyRange = "above"
)

// RangeOf places moderate-equivalent minutes; empty for NaN.
func RangeOf(minutes float64) WeeklyRange {
	switch {
	case minutes < WeeklyMinutesLow:
		return BelowRange
	case minutes <= WeeklyMinutesHigh:
		return WithinRange
	case minutes > WeeklyMinutesHigh:
		return AboveRange
	}
	return ""
}

// ModerateVigorous adds up the minutes in the moderate category, and in the
// vigorous and near-maximal ones, of time by the categories of
// [ReserveCategories] or [MaxHRCategories].
func ModerateVigorous(time BandSeconds) (moderate, vigorous float64) {
	moderate = float64(time.Bands[Moderate]) / 60
	vigorous = float64(time.Bands[Vigorous]+time.Bands[NearMaximal]) / 60
	return moderate, vigorous
}
