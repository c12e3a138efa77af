package pipeline

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestSharedExports(t *testing.T) {
	ride := export("c1/ride.fit", "fit", "cycling", 0, 3600, "heart_rate")
	members := []memberRecord{
		ride, copyOf(ride, "c2/z.zip/ride.fit"), copyOf(ride, "c1/again.fit"), copyOf(ride, "c3/ride.fit"),
		copyOf(ride, "stray.fit"), // in nobody's folder
		export("c2/own.fit", "fit", "cycling", 9000, 3600),
		{Path: "c1/notes.txt", SHA256: "n", Status: statusRefused}, {Path: "c2/notes.txt", SHA256: "n", Status: statusRefused},
	}
	want := map[string][]sharedExport{
		"c1": {{"c1/again.fit", []string{"c2/z.zip/ride.fit", "c3/ride.fit"}}, {"c1/ride.fit", []string{"c2/z.zip/ride.fit", "c3/ride.fit"}}},
		"c2": {{"c2/z.zip/ride.fit", []string{"c1/again.fit", "c1/ride.fit", "c3/ride.fit"}}},
		"c3": {{"c3/ride.fit", []string{"c1/again.fit", "c1/ride.fit", "c2/z.zip/ride.fit"}}},
	}
	for range 2 {
		if diff := cmp.Diff(want, sharedExports(slices.Values(members))); diff != "" {
			t.Errorf("(-want +got):\n%s", diff)
		}
		slices.Reverse(members)
	}
	if got := sharedExports(slices.Values(members[:1])); len(got) > 0 {
		t.Errorf("one export alone: %v", got)
	}
}
