package bouts

// plainness is how far an effort that no repetition bears out is plain in every
// other way, 0 to 1: each demand is a factor that is 1 when met with ease and
// falls to nothing when clearly failed. What is cheap to know comes first.
func (fd *finder) plainness(c chain) float64 {
	m := &fd.all[c.members[0]]
	score := pass(m.contrast(), 0.17, 0.25) *
		pass(m.z, 10, 20) *
		pass(fd.bluntest(m), 0.5, 0.75) // with a start and an end
	if !(score > 0) {
		return 0
	}
	score *= pass(fd.unevenness(c)/(m.level-c.pattern.low), 0.20, 0.10) // held evenly
	if !(score > 0) {
		return 0
	}
	easy, _ := fd.shares(c.pattern, m.seconds)
	score *= pass(easy, 0.25, 0.35) // less than most of the session
	if !(score > 0) {
		return 0
	}
	hard := fd.above(c.pattern.limit())
	return score * pass(1-hard.between(m.a, m.b)/m.seconds, 0.08, 0.02) // no rest within
}
