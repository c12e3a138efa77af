package main

import (
	"fmt"
	"strings"
	"time"
)

// words writes a fixed name as a person would.
func words(name string) string { return strings.ReplaceAll(name, "_", " ") }

// plural writes a count with its noun.
func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// number formats a figure that may be missing.
func number(format string, x *float64) string {
	if x == nil {
		return ""
	}
	return fmt.Sprintf(format, *x)
}

// clock writes seconds as h:mm:ss or m:ss.
func clock(seconds float64) string {
	d := time.Duration(seconds+0.5) * time.Second
	if d >= time.Hour {
		return fmt.Sprintf("%d:%02d:%02d", int(d.Hours()), int(d.Minutes())%60, int(d.Seconds())%60)
	}
	return fmt.Sprintf("%d:%02d", int(d.Minutes()), int(d.Seconds())%60)
}
