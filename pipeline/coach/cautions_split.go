package coach

import "strings"

// SplitCaution parts a row's caution into what concerns this client and what
// goes with every suggestion of harder work, so that many suggestions can stand
// under one caution. Either may be empty; joined they are the caution.
func SplitCaution(caution string) (own, harder string) {
	if own, found := strings.CutSuffix(caution, cautionHarder); found {
		return strings.TrimSpace(own), cautionHarder
	}
	return caution, ""
}
