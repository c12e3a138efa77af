package main

import (
	"fmt"
	"io"
	"os"
	"sync"
	"time"

	"golang.org/x/term"

	"boutwise/pipeline"
)

// newProgress gives a live line on a terminal and one plain line a step
// elsewhere; nothing where a machine reads.
func newProgress(w io.Writer, machine bool) pipeline.Progress {
	if machine {
		return pipeline.Silent{}
	}
	file, ok := w.(*os.File)
	return &progress{w: w, live: ok && term.IsTerminal(int(file.Fd()))}
}

// progress is the state of the step under way.
type progress struct {
	w    io.Writer
	live bool

	mu          sync.Mutex
	step        string
	total, done int
	started     time.Time
	drawn       time.Time
}

func (p *progress) Begin(step string, total int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.step, p.total, p.done, p.started, p.drawn = step, total, 0, time.Now(), time.Time{}
}

func (p *progress) Step(n int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.done += n
	if !p.live || time.Since(p.drawn) < 100*time.Millisecond {
		return
	}
	p.drawn = time.Now()
	left := ""
	if since := time.Since(p.started); since > 2*time.Second && p.done > 0 {
		rest := since * time.Duration(p.total-p.done) / time.Duration(p.done)
		left = fmt.Sprintf(", about %s left", rest.Round(time.Second))
	}
	fmt.Fprintf(p.w, "\r\x1b[K%s: %d of %d%s", p.step, p.done, p.total, left)
}

func (p *progress) End() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.live {
		fmt.Fprint(p.w, "\r\x1b[K")
	}
	if p.total > 0 {
		fmt.Fprintf(p.w, "%s: %d in %.1f s\n", p.step, p.done, time.Since(p.started).Seconds())
	}
}
