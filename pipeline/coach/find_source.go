package coach

import "strings"

// lookAtSource reports a session that may be another client's: an export put
// into the wrong folder would spoil the history of two clients at once.
func (r *review) lookAtSource(v *view) {
	if others := len(v.SharedWith); others > 0 {
		r.find(v, Soon, SharedExport, float64(others), 0, "equal checksums of exports in the folders of different clients; "+noSource,
			"an export of this session lies in the folder of %s too, the same byte for byte: whose session is it?", strings.Join(v.SharedWith, ", "))
	}
}
