package fit

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

// One repair is told once, however many fields and definitions it was made in.
func TestNotes(t *testing.T) {
	var n notes
	unused := n.kind("field 9 of the lap message", "narrowed")
	for range 5 { // a definition a lap
		n.add("field 124 of the session message", "narrowed")
		n.add("field 125 of the session message", "narrowed")
		n.add("", "a message was skipped")
	}
	n.add("", "the checksum is wrong")
	n.add("field 3 of the record message", "left out")
	want := []string{
		"field 124 of the session message and 1 more: narrowed (10 times)", "a message was skipped (5 times)",
		"the checksum is wrong", "field 3 of the record message: left out",
	}
	if diff := cmp.Diff(want, n.lines()); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
	n.count(unused)
	if got := n.lines()[0]; got != "field 9 of the lap message and 2 more: narrowed (11 times)" {
		t.Error(got)
	}
}
