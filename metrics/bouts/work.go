package bouts

// work answers how much time in any stretch lies above a level and in no
// confirmed set, from running sums over the steps.
type work struct {
	fd      *finder
	seconds []float64 // of the steps before, one more than there are steps
	hard    []bool    // the step lies above the level
}

// above gathers the work above a level.
func (fd *finder) above(level float64) work {
	w := work{fd: fd, seconds: make([]float64, len(fd.steps)+1), hard: make([]bool, len(fd.steps))}
	for k, st := range fd.steps {
		w.seconds[k+1] = w.seconds[k]
		if w.hard[k] = st.mean > level; w.hard[k] {
			w.seconds[k+1] += fd.unexplained(st.a, st.b)
		}
	}
	return w
}

// between is the time in seconds of such work in blocks [a, b).
func (w *work) between(a, b int) float64 { return w.until(b) - w.until(a) }

// until is the time of such work before a block.
func (w *work) until(block int) float64 {
	if block >= w.fd.blocks.n {
		return w.seconds[len(w.seconds)-1]
	}
	k := w.fd.stepOf[block]
	sum := w.seconds[k]
	if w.hard[k] {
		sum += w.fd.unexplained(w.fd.steps[k].a, block)
	}
	return sum
}

// unexplained is the time in seconds in blocks [a, b) that is in no confirmed
// set.
func (fd *finder) unexplained(a, b int) float64 {
	return float64((b-a)-(fd.explained[b]-fd.explained[a])) * float64(fd.size)
}
