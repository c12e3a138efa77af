package metrics

// ModerateEquivalent is a week's activity in minutes of moderate intensity, a
// vigorous minute counting as two (World Health Organization 2020: Bull FC et
// al., Br J Sports Med 2020;54:1451–1462; implied by its ranges, 75 to 150).
func ModerateEquivalent(moderate, vigorous float64) float64 {
	return moderate + 2*vigorous
}

// ModerateVigorous adds up the minutes in the moderate category, and in the
// vigorous and near-maximal ones, of time by the categories of
// [ReserveCategories] or [MaxHRCategories].
func ModerateVigorous(time BandSeconds) (moderate, vigorous float64) {
	moderate = float64(time.Bands[Moderate]) / 60
	vigorous = float64(time.Bands[Vigorous]+time.Bands[NearMaximal]) / 60
	return moderate, vigorous
}
