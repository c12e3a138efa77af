package pipeline_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"boutwise/pipeline"
)

// Whatever changes in the configuration, reprocessing gives the output of a
// fresh run, byte for byte, and opens no export: the exports are taken away
// while it works.
func TestReprocessEqualsAFreshRun(t *testing.T) {
	dir := smallPractice(t)
	if _, err := pipeline.Run(context.Background(), demoOptions(dir)); err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(2, 26))
	rounds := 8
	if testing.Short() {
		rounds = 2
	}
	for round := range rounds {
		change := randomChange(t, dir, rng)
		inbox, away := filepath.Join(dir, "inbox"), filepath.Join(dir, "away")
		rename(t, inbox, away)
		_, err := pipeline.Reprocess(context.Background(), demoOptions(dir))
		rename(t, away, inbox)
		if err != nil {
			t.Fatalf("round %d, %s: %v", round, change, err)
		}
		fresh := filepath.Join(t.TempDir(), "fresh")
		for _, name := range []string{"practice.toml", "clients.csv", "measurements.csv", "bands.csv", "prescriptions.csv"} {
			copyFile(t, filepath.Join(dir, name), filepath.Join(fresh, name))
		}
		if err := os.CopyFS(filepath.Join(fresh, "inbox"), os.DirFS(inbox)); err != nil {
			t.Fatal(err)
		}
		if _, err := pipeline.Run(context.Background(), demoOptions(fresh)); err != nil {
			t.Fatalf("round %d, %s: %v", round, change, err)
		}
		compareSnapshots(t, fmt.Sprintf("round %d, %s", round, change),
			snapshot(t, filepath.Join(fresh, "out")), snapshot(t, filepath.Join(dir, "out")))
	}
}

// randomChange edits one of the practice's files and says how.
func randomChange(t *testing.T, dir string, rng *rand.Rand) string {
	t.Helper()
	client := []string{"c101", "c102", "*"}[rng.IntN(3)]
	day := fmt.Sprintf("2026-0%d-%02d", 4+rng.IntN(2), 1+rng.IntN(28))
	var file, line string
	switch rng.IntN(5) {
	case 0:
		low := 100 + rng.IntN(20)
		file, line = "bands.csv", fmt.Sprintf("%[1]s,%[2]s,heart_rate,easy,0,bpm\n%[1]s,%[2]s,heart_rate,hard,%[3]d,bpm", client, day, low)
	case 1:
		low := 80 + rng.IntN(60)
		file, line = "bands.csv", fmt.Sprintf("%[1]s,%[2]s,power,low,0,w\n%[1]s,%[2]s,power,high,%[3]d,w", client, day, low)
	case 2:
		file, line = "measurements.csv", fmt.Sprintf("c101,%s,max_hr_bpm,%d", day, 175+rng.IntN(10))
	case 3:
		file, line = "prescriptions.csv", fmt.Sprintf("c102,%s,base,%d,30,,,", day, 1+rng.IntN(3))
	default:
		score := fmt.Sprintf("[bouts]\nmin_confidence = 0.%d\n", 40+rng.IntN(20))
		config := "time_zone = \"Pacific/Auckland\"\n" + score
		if err := os.WriteFile(filepath.Join(dir, "practice.toml"), []byte(config), 0o600); err != nil {
			t.Fatal(err)
		}
		return score
	}
	appendOnce(t, filepath.Join(dir, file), line)
	return file + ": " + line
}

// appendOnce appends lines, in place of any with the same key that an earlier
// round wrote: two rows for one client, day and quantity would contradict.
func appendOnce(t *testing.T, path, lines string) {
	t.Helper()
	old, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	fields := strings.SplitN(lines, ",", 4)
	key := strings.Join(fields[:3], ",") + ","
	var kept []string
	for _, line := range strings.Split(strings.TrimRight(string(old), "\n"), "\n") {
		if !strings.HasPrefix(line, key) {
			kept = append(kept, line)
		}
	}
	text := strings.Join(kept, "\n") + "\n" + lines + "\n"
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

func rename(t *testing.T, from, to string) {
	t.Helper()
	if err := os.Rename(from, to); err != nil {
		t.Fatal(err)
	}
}

func copyFile(t *testing.T, from, to string) {
	t.Helper()
	data, err := os.ReadFile(from)
	if err == nil {
		err = os.MkdirAll(filepath.Dir(to), 0o700)
	}
	if err == nil {
		err = os.WriteFile(to, data, 0o600)
	}
	if err != nil {
		t.Fatal(err)
	}
}
