package pipeline

import (
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"

	"boutwise/pipeline/store"
)

// The clients who share bytes are told and, when an export comes or goes,
// looked at anew.
func TestSharedExports(t *testing.T) {
	st, err := store.Open(t.TempDir())
	must(t, err)
	defer st.Close()
	ride := export("c1/ride.fit", "fit", "cycling", 0, 3600, "heart_rate")
	members := []memberRecord{
		ride, copyOf(ride, "c2/z.zip/ride.fit"), copyOf(ride, "c1/again.fit"), copyOf(ride, "c3/ride.fit"),
		copyOf(ride, "stray.fit"), // in nobody's folder
		export("c2/own.fit", "fit", "cycling", 9000, 3600),
		{Path: "c1/notes.txt", SHA256: "n", Status: statusRefused}, {Path: "c2/notes.txt", SHA256: "n", Status: statusRefused},
	}
	for _, order := range [][]memberRecord{members, reversed(members)} {
		must(t, st.Update(func(tx *store.Tx) error {
			for _, m := range order {
				must(t, putExport(tx, m.Path, exportRecord{Members: []memberRecord{m}}))
			}
			wantShared(t, tx, ride, "c2", "c3")
			wantShared(t, tx, members[1], "c1", "c3")
			wantShared(t, tx, members[5])
			wantShared(t, tx, members[6])
			return nil
		}))
	}
	must(t, st.Update(func(tx *store.Tx) error {
		for _, c := range []string{"c1", "c2", "c3"} {
			must(t, store.Put(tx, store.Clients, clientKey(c), clientRecord{Inputs: clientInputs{Review: "current"}}))
		}
		must(t, deleteExport(tx, "c3/ride.fit"))
		wantShared(t, tx, ride, "c2")
		for client, want := range map[string]string{"c1": "", "c2": "", "c3": "current"} {
			rec, _, err := store.Get[clientRecord](tx, store.Clients, clientKey(client))
			must(t, err)
			if rec.Inputs.Review != want {
				t.Errorf("%s: inputs %q after another's export went, want %q", client, rec.Inputs.Review, want)
			}
		}
		return nil
	}))
}

func reversed(in []memberRecord) []memberRecord {
	out := slices.Clone(in)
	slices.Reverse(out)
	return out
}

func wantShared(t *testing.T, tx *store.Tx, m memberRecord, want ...string) {
	t.Helper()
	got, err := alsoOf(tx, m)
	must(t, err)
	if diff := cmp.Diff(want, got); diff != "" && len(want)+len(got) > 0 {
		t.Errorf("%s: other clients (-want +got):\n%s", m.Path, diff)
	}
}
