package main

import (
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"
)

// stepping runs a step of 1000 parts at a second a part and gives what was
// written.
func stepping(s screen, parts int) string {
	var out bytes.Buffer
	clock := time.Date(2026, 3, 9, 3, 30, 0, 0, time.UTC)
	p := &progress{w: &out, screen: s, now: func() time.Time { return clock }}
	p.Begin("reading exports", 1000)
	for range parts {
		clock = clock.Add(time.Second)
		p.Step(1)
	}
	p.End()
	return out.String()
}

func TestProgressOnATerminal(t *testing.T) {
	got := stepping(screen{width: 80, escapes: true, signs: asciiSigns}, 100)
	// 900 s are left after 100.
	if want := "\r\x1b[Kreading exports ##.................. 100 of 1000, about 15 min left\r\x1b[K"; !strings.HasSuffix(got, want) {
		t.Errorf("ends with %q, want %q", got[max(0, len(got)-len(want)):], want)
	}
	if strings.Contains(got, "\n") {
		t.Error("a live line must not scroll")
	}
	narrow := stepping(screen{width: 40, escapes: true, signs: unicodeSigns}, 100)
	for _, line := range strings.Split(narrow, "\r\x1b[K") {
		if columns(line) >= 40 {
			t.Errorf("%q would wrap", line)
		}
	}
}

// A log hears of a step once a minute, in plain lines; a short run says
// nothing, so that a mail from cron holds the summary alone.
func TestProgressInALog(t *testing.T) {
	s := screen{width: 80, signs: asciiSigns}
	if got := stepping(s, 59); got != "" {
		t.Errorf("a run of 59 s wrote %q", got)
	}
	want := "reading exports: 60 of 1000, about 16 min left\nreading exports: 120 of 1000, about 15 min left\n"
	if got := stepping(s, 150); got != want {
		t.Errorf("wrote %q, want %q", got, want)
	}
}

func TestTimeLeft(t *testing.T) {
	for _, tt := range []struct {
		done  int
		since time.Duration
		want  string
	}{
		{10, time.Second, ""}, // too early to tell
		{50, 30 * time.Second, ", about 30 s left"},
		{10, 30 * time.Second, ", about 5 min left"}, // 270 s
		{100, 30 * time.Second, ""},
		{0, 30 * time.Second, ""},
	} {
		p := &progress{total: 100, done: tt.done}
		if got := p.left(tt.since); got != tt.want {
			t.Errorf("%s: %q, want %q", fmt.Sprint(tt.done, " in ", tt.since), got, tt.want)
		}
	}
}
