package main

import (
	"fmt"
	"io"
	"strings"
	"sync"
	"time"

	"boutwise/pipeline"
)

const (
	// redrawEvery keeps a live line from costing more than the work.
	redrawEvery = 100 * time.Millisecond
	// logEvery is how often a log hears of a long step. A night's run is over
	// before, so that a mail from cron holds nothing but the summary.
	logEvery = time.Minute
	// estimateAfter is how long a step runs before its end is foretold.
	estimateAfter = 2 * time.Second
	// barWidth is the width of the bar in characters.
	barWidth = 20
)

// newProgress gives a live line with a bar on a terminal, a plain line a
// minute elsewhere, and nothing where a machine reads.
func newProgress(c *console, machine bool) pipeline.Progress {
	if machine {
		return pipeline.Silent{}
	}
	return &progress{w: c.err, screen: c.errScreen, now: time.Now}
}

// progress is the state of the step under way.
type progress struct {
	w      io.Writer
	screen screen
	now    func() time.Time

	mu            sync.Mutex
	step          string
	total, done   int
	started, told time.Time
}

func (p *progress) Begin(step string, total int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.step, p.total, p.done = step, total, 0
	p.started = p.now()
	p.told = p.started
}

func (p *progress) Step(n int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.done += n
	now := p.now()
	every := logEvery
	if p.screen.escapes {
		every = redrawEvery
	}
	if now.Sub(p.told) < every {
		return
	}
	p.told = now
	text := fmt.Sprintf("%d of %d%s", p.done, p.total, p.left(now.Sub(p.started)))
	if p.screen.escapes {
		line := []rune(fmt.Sprintf("%s %s %s", p.step, p.bar(), text))
		// A line that wraps could not be drawn over.
		fmt.Fprint(p.w, "\r\x1b[K", string(line[:min(len(line), p.screen.width-1)]))
		return
	}
	fmt.Fprintf(p.w, "%s: %s\n", p.step, text)
}

// End wipes the live line: what was done is in the summary.
func (p *progress) End() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.screen.escapes {
		fmt.Fprint(p.w, "\r\x1b[K")
	}
}

func (p *progress) bar() string {
	filled := min(barWidth, barWidth*p.done/max(1, p.total))
	return strings.Repeat(string(p.screen.signs.done), filled) + strings.Repeat(string(p.screen.signs.todo), barWidth-filled)
}

// left foretells the rest of the step from the pace so far.
func (p *progress) left(since time.Duration) string {
	if since < estimateAfter || p.done == 0 || p.done >= p.total {
		return ""
	}
	rest := time.Duration(float64(since) * float64(p.total-p.done) / float64(p.done))
	if rest < 90*time.Second {
		return fmt.Sprintf(", about %d s left", int(rest.Round(time.Second).Seconds()))
	}
	return fmt.Sprintf(", about %d min left", int(rest.Round(time.Minute).Minutes()))
}
