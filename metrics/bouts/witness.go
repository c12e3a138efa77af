package bouts

// On the road the heart is a witness: it answers the work some tens of seconds
// late, but the dips and surges that hide a bout in the output hardly reach it.
// It is heard where the output leaves a set in doubt, and can only speak for
// it: a strap may fail in any session.

const (
	// corroboration is what is added to the logarithm of the odds when the
	// heart shows the same set.
	corroboration = 3.0

	// A bout is the same when so much of the union of both is shared, and a set
	// when so many of its bouts are the same and the heart shows few others.
	sameBout, sameSet, mostOthers = 0.6, 0.8, 0.5

	// witnessTemplates bounds the patterns that the witness tries: only a plain
	// set counts.
	witnessTemplates = 16
)

// witness finds sets by heart rate once they are asked for; nil knows nothing.
type witness struct {
	in       Input // of the heart rate
	settings Settings
	asked    bool
	bouts    []Bout // confirmed by heart rate
}

// newWitness is nil where no heart rate was recorded.
func newWitness(in Input, s Settings) *witness {
	if in.HeartRate == nil {
		return nil
	}
	s.Templates = min(s.Templates, witnessTemplates)
	return &witness{settings: s, in: Input{
		Signal: HeartRate, Values: in.HeartRate, Recorded: in.Recorded, Observed: in.Observed,
	}}
}

// sees tells whether the heart shows the same set.
func (w *witness) sees(set []Bout) bool {
	if w == nil {
		return false
	}
	if !w.asked {
		w.asked = true
		p := prepare(w.in, w.settings)
		for _, b := range search(demandOf(p), rateWeights, nil, nil, w.settings).bouts {
			if b.Confidence == Confirmed {
				w.bouts = append(w.bouts, b.Bout)
			}
		}
	}
	same := 0.0
	for _, b := range set {
		for _, o := range w.bouts {
			if b.sharedWith(o) >= sameBout {
				same++
				break
			}
		}
	}
	n := float64(len(set))
	return same >= sameSet*n && float64(len(w.bouts))-same <= mostOthers*n
}

// sharedWith is the time that two bouts share over the time that either takes.
func (b Bout) sharedWith(o Bout) float64 {
	shared := min(b.End, o.End) - max(b.Start, o.Start)
	return shared / (max(b.End, o.End) - min(b.Start, o.Start))
}
