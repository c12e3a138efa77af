package synthetic

// role is what a stretch of a plan is for. Only bouts are truth; an opener is
// part of a warm-up and must not be taken for one.
type role int

const (
	easy    role = iota // warm-up, base work, recovery or cool-down
	opener              // short effort within a warm-up
	bout                // work meant to be held
	stopped             // recovery with the recording stopped
)

// stretch is one piece of a plan: its output runs in a straight line from one
// level to another, times its shape.
type stretch struct {
	role     role
	seconds  float64
	from, to float64 // in the unit of the signal
	shape    shape   // nil holds
}

// plan is a whole session in order.
type plan []stretch

// hold appends a stretch at one level.
func (p plan) hold(r role, seconds, level float64) plan {
	return append(p, stretch{role: r, seconds: seconds, from: level, to: level})
}

// ramp appends an easy stretch between two levels.
func (p plan) ramp(seconds, from, to float64) plan {
	return append(p, stretch{role: easy, seconds: seconds, from: from, to: to})
}

// work appends a bout of the given shape.
func (p plan) work(seconds, level float64, s shape) plan {
	return append(p, stretch{role: bout, seconds: seconds, from: level, to: level, shape: s})
}

// seconds is the plan's whole length.
func (p plan) seconds() float64 {
	total := 0.0
	for _, s := range p {
		total += s.seconds
	}
	return total
}

// spans returns where the stretches of one role lie, in seconds.
func (p plan) spans(r role) [][2]float64 {
	var spans [][2]float64
	at := 0.0
	for _, s := range p {
		if s.role == r {
			spans = append(spans, [2]float64{at, at + s.seconds})
		}
		at += s.seconds
	}
	return spans
}

// perSecond is how finely a plan is drawn before it is averaged to seconds, so
// that boundaries may lie between two seconds.
const perSecond = 10

// render returns the planned output at 1 Hz: second i holds its mean over
// [i, i+1). Each change of level becomes a straight ramp of edge seconds
// centred on the plan's boundary, which is why the boundary is where the
// output is half-way.
func (p plan) render(edge float64) []float64 {
	fine := p.draw()
	fine = boxcar(fine, int(edge*perSecond))
	n := len(fine) / perSecond
	out := make([]float64, n)
	for i := range out {
		sum := 0.0
		for _, v := range fine[i*perSecond : (i+1)*perSecond] {
			sum += v
		}
		out[i] = sum / perSecond
	}
	return out
}

// draw evaluates the plan perSecond times a second.
func (p plan) draw() []float64 {
	fine := make([]float64, 0, int(p.seconds()*perSecond)+len(p))
	at, next := 0.0, 0.0
	for _, s := range p {
		// The sum of lengths, not a count per stretch, decides where each one
		// ends: otherwise rounding would move the later boundaries.
		next = at + s.seconds
		for t := float64(len(fine)) / perSecond; t < next-1e-9; t = float64(len(fine)) / perSecond {
			x := (t - at) / s.seconds
			level := s.from + (s.to-s.from)*x
			if s.shape != nil {
				level *= s.shape(x)
			}
			fine = append(fine, level)
		}
		at = next
	}
	return fine
}

// boxcar is a centred moving mean; the ends use what there is.
func boxcar(x []float64, width int) []float64 {
	if width < 2 {
		return x
	}
	sum := make([]float64, len(x)+1)
	for i, v := range x {
		sum[i+1] = sum[i] + v
	}
	out := make([]float64, len(x))
	for i := range x {
		lo, hi := max(0, i-width/2), min(len(x), i-width/2+width)
		out[i] = (sum[hi] - sum[lo]) / float64(hi-lo)
	}
	return out
}
