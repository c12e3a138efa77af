package pipeline

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// morning is 2026-03-02 07:00:00 UTC.
const morning = 1_772_434_800

// export is a member with one whole recording: its sport, start in seconds
// after morning, length, and channels that were measured throughout.
func export(path, format, sport string, start, seconds int, channels ...string) memberRecord {
	m := memberRecord{Path: path, SHA256: "sum of " + path, Format: format, Status: statusRead}
	return withLeg(m, sport, start, seconds, channels...)
}

func withLeg(m memberRecord, sport string, start, seconds int, channels ...string) memberRecord {
	leg := legRecord{Leg: len(m.Legs), Sport: sport, StartUnix: morning + int64(start), Seconds: seconds, Samples: seconds}
	for _, name := range channels {
		leg.Channels = append(leg.Channels, channelRecord{Name: name, Seconds: seconds})
	}
	m.Legs = append(slices.Clone(m.Legs), leg)
	return m
}

// copyOf is an export with the same bytes elsewhere.
func copyOf(m memberRecord, path string) memberRecord {
	m.Path, m.Legs = path, slices.Clone(m.Legs)
	return m
}

// outline writes sessions one a line: name, then path and leg of each source,
// the best first, a "=" before copies.
func outline(sessions []session) string {
	var lines []string
	for _, s := range sessions {
		line := s.id
		for _, src := range s.sources {
			mark := ""
			if src.duplicateOf != "" {
				mark = "="
			}
			line += fmt.Sprintf(" %s%s#%d", mark, src.member.Path, src.leg.Leg)
		}
		lines = append(lines, line)
	}
	return strings.Join(lines, "\n")
}

func TestGroup(t *testing.T) {
	ride := export("a/ride.fit", "fit", "cycling", 0, 3600, "heart_rate", "power", "speed")
	watch := export("b/watch.gpx", "gpx", "other", 40, 3500, "heart_rate")
	duathlon := withLeg(withLeg(withLeg(memberRecord{Path: "d.fit", SHA256: "d", Format: "fit", Status: statusRead},
		"running", 0, 1200, "heart_rate", "speed"), "transition", 1200, 60, "heart_rate"), "cycling", 1260, 2400, "heart_rate", "power")
	salvaged := export("a.fit", "fit", "cycling", 0, 3600, "heart_rate")
	salvaged.Status = statusSalvaged
	tests := []struct {
		name    string
		members []memberRecord
		want    string
	}{
		{"nothing", nil, ""},
		{"refused exports have no session", []memberRecord{{Path: "x.fit", Status: statusRefused}}, ""},
		{"one", []memberRecord{ride}, "20260302T0700Z a/ride.fit#0"},
		{"identical bytes", []memberRecord{copyOf(ride, "z/again.fit"), ride, copyOf(ride, "b.fit")},
			"20260302T0700Z a/ride.fit#0 =b.fit#0 =z/again.fit#0"},
		{"the same in another format, a sample longer", []memberRecord{
			export("a.gpx", "gpx", "cycling", 0, 3602, "heart_rate", "power", "speed"), ride,
			export("b.tcx", "tcx", "cycling", 0, 3601, "heart_rate", "power", "speed")},
			"20260302T0700Z a/ride.fit#0 b.tcx#0 a.gpx#0"},
		{"a second device, its clock 40 s ahead", []memberRecord{watch, ride},
			"20260302T0700Z a/ride.fit#0 b/watch.gpx#0"},
		{"a second device, its clock 40 s behind", []memberRecord{
			export("w.fit", "fit", "cycling", -40, 3600, "heart_rate"), ride},
			"20260302T0700Z a/ride.fit#0 w.fit#0"},
		{"started late, stopped early", []memberRecord{ride, export("late.fit", "fit", "cycling", 3000, 500, "heart_rate")},
			"20260302T0700Z a/ride.fit#0 late.fit#0"},
		{"two sessions of a day", []memberRecord{export("evening.fit", "fit", "cycling", 36000, 3600, "heart_rate"), ride},
			"20260302T0700Z a/ride.fit#0\n20260302T1700Z evening.fit#0"},
		{"a device started again", []memberRecord{ride, export("next.fit", "fit", "cycling", 3600, 3600, "heart_rate")},
			"20260302T0700Z a/ride.fit#0 next.fit#0"},
		{"after five minutes", []memberRecord{export("next.fit", "fit", "cycling", 3900, 3600, "heart_rate"), ride},
			"20260302T0700Z a/ride.fit#0 next.fit#0"},
		{"after more", []memberRecord{ride, export("next.fit", "fit", "cycling", 3901, 3600, "heart_rate")},
			"20260302T0700Z a/ride.fit#0\n20260302T0810Z next.fit#0"},
		{"in another sport", []memberRecord{ride, export("next.fit", "fit", "running", 3630, 1200, "heart_rate")},
			"20260302T0700Z a/ride.fit#0\n20260302T0800Z next.fit#0"},
		{"started again twice, beside a second device", []memberRecord{
			export("3.fit", "fit", "cycling", 2460, 1140, "heart_rate", "power"), export("1.fit", "fit", "cycling", 0, 1200, "heart_rate", "power"),
			export("2.fit", "fit", "cycling", 1230, 1200, "heart_rate", "power"), export("w.gpx", "gpx", "cycling", 1225, 1200, "heart_rate")},
			"20260302T0700Z 1.fit#0 2.fit#0 w.gpx#0 3.fit#0"},
		{"half shared is one workout", []memberRecord{export("a.fit", "fit", "cycling", 0, 3600, "heart_rate"), export("b.fit", "fit", "cycling", 1800, 3600)},
			"20260302T0700Z a.fit#0 b.fit#0"},
		{"less is two", []memberRecord{export("a.fit", "fit", "cycling", 0, 3600, "heart_rate"), export("b.fit", "fit", "cycling", 1801, 3600)},
			"20260302T0700Z a.fit#0\n20260302T0730Z b.fit#0"},
		{"sports that differ", []memberRecord{ride, export("run.fit", "fit", "running", 0, 3600, "heart_rate")},
			"20260302T0700Z a/ride.fit#0\n20260302T0700Z-2 run.fit#0"},
		{"legs of one export", []memberRecord{duathlon},
			"20260302T0700Z d.fit#0\n20260302T0720Z d.fit#1\n20260302T0720Z-2 d.fit#2"},
		{"legs of copies find their own", []memberRecord{duathlon, copyOf(duathlon, "e.fit")},
			"20260302T0700Z d.fit#0 =e.fit#0\n20260302T0720Z d.fit#1 =e.fit#1\n20260302T0720Z-2 d.fit#2 =e.fit#2"},
		{"legs from two devices 40 s apart", []memberRecord{duathlon,
			withLeg(withLeg(memberRecord{Path: "w.fit", SHA256: "w", Format: "fit", Status: statusRead}, "running", 40, 1200, "heart_rate"), "cycling", 1300, 2400, "heart_rate")},
			"20260302T0700Z d.fit#0 w.fit#0\n20260302T0720Z d.fit#1\n20260302T0720Z-2 d.fit#2 w.fit#1"},
		{"legs that overlap in a damaged export", []memberRecord{withLeg(ride, "cycling", 0, 3600)},
			"20260302T0700Z a/ride.fit#0\n20260302T0700Z-2 a/ride.fit#1"},
		{"whole before salvaged", []memberRecord{salvaged, export("b.fit", "fit", "cycling", 0, 3600, "heart_rate")},
			"20260302T0700Z b.fit#0 a.fit#0"},
		{"a short recording with every sensor does not stand for the hour", []memberRecord{
			export("hour.gpx", "gpx", "cycling", 0, 3600, "heart_rate"),
			export("tail.fit", "fit", "cycling", 3000, 600, "heart_rate", "power", "speed")},
			"20260302T0700Z hour.gpx#0 tail.fit#0"},
		{"a device that ran through two workouts does not make them one", []memberRecord{ride,
			export("through.gpx", "gpx", "other", 0, 7200, "heart_rate"),
			export("second.fit", "fit", "cycling", 4000, 3200, "heart_rate", "power", "speed")},
			"20260302T0700Z a/ride.fit#0 through.gpx#0\n20260302T0810Z second.fit#0"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if diff := cmp.Diff(tt.want, outline(group(tt.members))); diff != "" {
				t.Error(diff)
			}
		})
	}
}

// A better copy that comes later stands for the workout, whichever way the
// files are listed; the poorer one stays known.
func TestGroupTakesTheBetterCopy(t *testing.T) {
	poor := export("early.gpx", "gpx", "other", 0, 3500)
	rich := export("late.fit", "fit", "cycling", 0, 3600, "heart_rate", "power")
	if got := outline(group([]memberRecord{poor})); got != "20260302T0700Z early.gpx#0" {
		t.Error(got)
	}
	if got := outline(group([]memberRecord{poor, rich})); got != "20260302T0700Z late.fit#0 early.gpx#0" {
		t.Error(got)
	}
}

// Whatever comes later of a workout, its session keeps the name under which it
// was known: a longer copy, a better device that began a minute before or
// after.
func TestBetterCopyKeepsTheName(t *testing.T) {
	for _, known := range []int{-45, 0, 45} {
		poor := export("early.gpx", "gpx", "other", known, 1200, "heart_rate")
		name := group([]memberRecord{poor})[0].id
		for _, later := range []int{-170, -60, 0, 60, 170} {
			for _, seconds := range []int{1200, 3600} {
				rich := export("late.fit", "fit", "cycling", later, seconds, "heart_rate", "power")
				both := group([]memberRecord{poor, rich})
				if len(both) != 1 || both[0].id != name || both[0].primary().member.Path != "late.fit" {
					t.Errorf("started %d s after the other, %d s long: %s, was %s", later-known, seconds, outline(both), name)
				}
			}
		}
	}
}

// drawMembers draws a few days of one client's exports, with copies, second
// devices and legs.
func drawMembers(t *rapid.T) []memberRecord {
	sport := rapid.SampledFrom([]string{"cycling", "running", "other"})
	channels := rapid.SliceOfNDistinct(rapid.SampledFrom([]string{"heart_rate", "power", "speed", "altitude"}), 0, 4, rapid.ID)
	format := rapid.SampledFrom([]string{"fit", "gpx", "tcx"})
	var members []memberRecord
	for i := range rapid.IntRange(0, 14).Draw(t, "exports") {
		path := fmt.Sprintf("%c/%02d", 'a'+rapid.IntRange(0, 3).Draw(t, "folder"), i)
		if len(members) > 0 && rapid.IntRange(0, 4).Draw(t, "copy") == 0 {
			members = append(members, copyOf(rapid.SampledFrom(members).Draw(t, "of"), path))
			continue
		}
		m := memberRecord{Path: path, SHA256: path, Format: format.Draw(t, "format"),
			Status: rapid.SampledFrom([]string{statusRead, statusRead, statusSalvaged}).Draw(t, "status")}
		for range rapid.IntRange(0, 3).Draw(t, "legs") {
			m = withLeg(m, sport.Draw(t, "sport"), 600*rapid.IntRange(0, 40).Draw(t, "start"), rapid.IntRange(1, 7200).Draw(t, "seconds"), channels.Draw(t, "channels")...)
		}
		members = append(members, m)
	}
	return members
}

func TestGroupProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		members := drawMembers(t)
		sessions := group(members)
		shuffled := rapid.Permutation(members).Draw(t, "order")
		if diff := cmp.Diff(outline(sessions), outline(group(shuffled))); diff != "" {
			t.Fatalf("another order of the same exports: %s", diff)
		}

		legs, placed, ids := 0, map[string]int{}, map[string]bool{}
		for _, m := range members {
			legs += len(m.Legs)
		}
		for i, s := range sessions {
			if ids[s.id] {
				t.Fatalf("two sessions are named %s", s.id)
			}
			ids[s.id] = true
			if s.primary().duplicateOf != "" {
				t.Fatalf("%s stands on a copy", s.id)
			}
			if i > 0 && sessions[i-1].primary().leg.StartUnix > s.primary().leg.StartUnix {
				t.Fatalf("%s comes after a later one", s.id)
			}
			for k, src := range s.sources {
				placed[fmt.Sprint(src.member.Path, src.leg.Leg)]++
				first := s.leader(k)
				if overlap(first.leg, src.leg) < sameWorkoutOverlap {
					t.Fatalf("%s: %s shares too little time with %s", s.id, src.member.Path, first.member.Path)
				}
				if first.duplicateOf != "" {
					t.Fatalf("a part of %s stands on a copy", s.id)
				}
				if first.leg.Sport != s.primary().leg.Sport {
					t.Fatalf("%s goes on in another sport", s.id)
				}
			}
		}
		for key, times := range placed {
			if times != 1 {
				t.Fatalf("%s is in %d sessions", key, times)
			}
		}
		if len(placed) != legs {
			t.Fatalf("%d recordings, %d placed", legs, len(placed))
		}
	})
}

// A copy of what is known already changes no session's name or standing.
func TestCopiesChangeNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		members := drawMembers(t)
		if len(members) == 0 {
			return
		}
		before := group(members)
		after := group(append(slices.Clone(members), copyOf(rapid.SampledFrom(members).Draw(t, "of"), "z/copy")))
		if len(before) != len(after) {
			t.Fatalf("%d sessions became %d", len(before), len(after))
		}
		for i := range before {
			if before[i].id != after[i].id || before[i].primary().member.Path != after[i].primary().member.Path {
				t.Fatalf("%s of %s became %s of %s", before[i].id, before[i].primary().member.Path, after[i].id, after[i].primary().member.Path)
			}
		}
	})
}

func BenchmarkGroupTenYears(b *testing.B) {
	var members []memberRecord
	for day := range 3650 {
		for k, format := range []string{"fit", "gpx"} {
			members = append(members, export(fmt.Sprintf("%05d.%s", day, format), format, "cycling", day*86400+40*k, 3600, "heart_rate"))
		}
	}
	for b.Loop() {
		group(members)
	}
}
