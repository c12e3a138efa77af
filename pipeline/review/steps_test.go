package review

import (
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// What every step asks to mind is said once; no word of a caution is lost.
func TestStepsShareTheirCaution(t *testing.T) {
	const screening = "Before harder work: ask. Stop at chest pain. Local rules come first."
	step := func(id, caution string) clientRow {
		return clientRow{Name: id, Summary: Summary{ClientID: id, Suggestion: "one_more_round", Caution: caution}}
	}
	rows := []clientRow{
		step("a", screening),
		step("b", "This client moves slower: aged 74, from 65 on each step takes 1.5 times as long. "+screening),
		{Name: "c", Summary: Summary{Suggestion: hold, Caution: "Never said."}},
		step("d", "Medication limits this client's heart rate. "+screening),
	}
	got := viewSteps(rows)
	if got.Count != 3 || len(got.Clients) != 3 || got.More != 0 {
		t.Errorf("got %d steps, %d shown and %d more, want 3, 3 and 0: to hold is no step", got.Count, len(got.Clients), got.More)
	}
	if got.Caution != screening {
		t.Errorf("said once: got %q, want %q", got.Caution, screening)
	}
	var own []string
	for _, c := range got.Clients {
		own = append(own, c.Mind)
	}
	want := []string{"", "This client moves slower: aged 74, from 65 on each step takes 1.5 times as long.", "Medication limits this client's heart rate."}
	if diff := cmp.Diff(want, own); diff != "" {
		t.Errorf("said to one client (-want +got):\n%s", diff)
	}

	// One step alone: the whole caution is common to all.
	if alone := viewSteps(rows[1:2]); alone.Caution != rows[1].Caution || alone.Clients[0].Mind != "" {
		t.Errorf("one step: got %q and %q, want its caution whole", alone.Caution, alone.Clients[0].Mind)
	}
	// Nothing in common: nothing is said to all.
	if apart := viewSteps([]clientRow{step("a", "One."), step("b", "Two.")}); apart.Caution != "" || apart.Clients[1].Mind != "Two." {
		t.Errorf("nothing in common: got %q and %q", apart.Caution, apart.Clients[1].Mind)
	}
}

func TestSentences(t *testing.T) {
	for _, text := range []string{
		"", "One", "One.", "One. Two. Three", "Takes 1.5 times as long. Up to 8. then on", "No. 5 is Alive. Yes", "A.. B",
	} {
		if got := strings.Join(sentences(text), " "); got != text {
			t.Errorf("%q: joined again %q", text, got)
		}
	}
	if diff := cmp.Diff([]string{"Takes 1.5 h, e.g. so. then on.", "Stop"}, sentences("Takes 1.5 h, e.g. so. then on. Stop")); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}
