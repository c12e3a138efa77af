package main

import (
	"bytes"
	"slices"
	"strings"
	"testing"
)

func TestScreenOfTheEnvironment(t *testing.T) {
	tests := []struct {
		name        string
		env         map[string]string
		width, rows int
		signs       *signs
	}{
		{"cron: no locale", nil, plainWidth, plainRows, asciiSigns},
		{"UTF-8", map[string]string{"LANG": "de_DE.UTF-8"}, plainWidth, plainRows, unicodeSigns},
		{"as macOS spells it", map[string]string{"LC_CTYPE": "UTF-8"}, plainWidth, plainRows, unicodeSigns},
		{"C over the rest", map[string]string{"LC_ALL": "C", "LANG": "de_DE.UTF-8"}, plainWidth, plainRows, asciiSigns},
		{"asked for", map[string]string{"COLUMNS": "100", "LINES": "30"}, 100, 30, asciiSigns},
		{"beyond what is believed", map[string]string{"COLUMNS": "4000", "LINES": "2"}, maxWidth, minRows, asciiSigns},
		{"no number", map[string]string{"COLUMNS": "wide"}, plainWidth, plainRows, asciiSigns},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			tt.env = with(tt.env, "TERM", "xterm")
			got := screenOf(&bytes.Buffer{}, func(name string) string { return tt.env[name] })
			if got.width != tt.width || got.rows != tt.rows || got.signs != tt.signs {
				t.Errorf("%d x %d, unicode %v", got.width, got.rows, got.signs == unicodeSigns)
			}
			if got.escapes || got.colour {
				t.Error("control sequences for what is no terminal")
			}
		})
	}
}

func with(env map[string]string, name, value string) map[string]string {
	all := map[string]string{name: value}
	for k, v := range env {
		all[k] = v
	}
	return all
}

func TestCleanDisarms(t *testing.T) {
	for text, want := range map[string]string{
		"plain.fit":                  "plain.fit",
		"Zoë 1.fit":                  "Zoë 1.fit",
		"\x1b[2Jwiped\n.fit":         "?[2Jwiped?.fit",
		"bad \xff byte, C1 \u009b2J": "bad ? byte, C1 ?2J",
	} {
		if got := clean(text); got != want {
			t.Errorf("%q became %q, want %q", text, got, want)
		}
	}
}

func TestWrap(t *testing.T) {
	got := wrap("one two three four", "  a  ", 14)
	if want := []string{"  a  one two", "    three four"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	// A word that fits nowhere stands on a line of its own, whole.
	got = wrap("a incomprehensibilities b", "", 10)
	if want := []string{"a", "incomprehensibilities", "b"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

func TestGridSparesColumns(t *testing.T) {
	g := grid{columns: []column{{head: "name"}, {head: "n", right: true}, {head: "more", spare: 1}, {head: "most", spare: 2}, {head: "empty"}}}
	g.add("a", "1", "xx", "yy", "")
	g.add("bcdef", "20", "", "yyy", "")
	for _, tt := range []struct {
		width   int
		want    string
		dropped []string
	}{
		{30, "  name    n  more  most\n  a       1  xx    yy\n  bcdef  20        yyy", nil},
		{20, "  name    n  more\n  a       1  xx\n  bcdef  20", []string{"most"}},
		{5, "  name    n\n  a       1\n  bcdef  20", []string{"most", "more"}},
	} {
		lines, dropped := g.lines(screen{width: tt.width})
		if got := strings.Join(lines, "\n"); got != tt.want || !slices.Equal(dropped, tt.dropped) {
			t.Errorf("width %d, without %q:\n%s\nwant:\n%s", tt.width, dropped, got, tt.want)
		}
	}
	// Colours take no room.
	painted, _ := g.lines(screen{width: 30, colour: true})
	if want := "  \x1b[1mname\x1b[0m    \x1b[1mn\x1b[0m  \x1b[1mmore\x1b[0m  \x1b[1mmost\x1b[0m"; painted[0] != want {
		t.Errorf("%q, want %q", painted[0], want)
	}
}
