package pipeline

// Progress is told how far a long step has come. The terminal, the log and
// the machine each have their own.
type Progress interface {
	Begin(step string, total int)
	Step(n int)
	End()
}

// Silent is a [Progress] that says nothing.
type Silent struct{}

func (Silent) Begin(string, int) {}
func (Silent) Step(int)          {}
func (Silent) End()              {}
