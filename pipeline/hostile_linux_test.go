package pipeline_test

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"boutwise/pipeline/tables"
)

// trial is one thing that an inbox may hold and what must become of it.
type trial struct {
	name   string // below inbox/c1
	data   []byte
	status string   // of every row that it leads to
	reason []string // words of the reasons
}

// hostile lists what a broken device, a careless client or an enemy may put
// into an inbox.
func hostile(t *testing.T) []trial {
	ride := gpxOf(morning, 120, rounds)
	at := func(start time.Time) []byte { return gpxOf(start, 120, rounds) }
	zeros := make([]byte, 20<<20)
	deep := ride
	for range 5 {
		deep = zipOf(t, "deeper", deep)
	}
	return []trial{
		{"empty.fit", nil, "refused", []string{"empty file"}},
		{"empty.zip", zipOf(t), "refused", []string{"no export in it"}},
		{"bomb.gpx.gz", gzipOf(t, zeros), "refused", []string{"larger than the limit", "more than 16 MiB"}},
		{"bomb.zip", zipOf(t, "zeros", zeros), "refused", []string{"larger than the limit"}},
		{"bomb in bomb.zip", zipOf(t, "zeros.gz", gzipOf(t, zeros)), "refused", []string{"larger than the limit"}},
		{"deep.zip", deep, "refused", []string{"larger than the limit", "containers inside each other"}},
		{"many.zip", manyMembers(t, 300), "refused", []string{"larger than the limit", "more than 200 members"}},
		{"claims.zip", claimingZip(t, ride), "refused", []string{"larger than the limit"}},
		{"escape.zip", zipOf(t, "../../../escape.gpx", at(morning.Add(time.Hour)), "/tmp/escape-root.gpx", at(morning.Add(2*time.Hour)), `..\..\escape-back.gpx`, at(morning.Add(3*time.Hour))),
			"read", []string{"name in the archive"}},
		{"entities.gpx", laughs(), "refused", []string{"no timed samples"}},
		{"outside.gpx", []byte(`<!DOCTYPE gpx [<!ENTITY x SYSTEM "file:///etc/passwd">]><gpx><trk><name>&x;</name></trk></gpx>`), "refused", []string{"no timed samples"}},
		{"nested.gpx", []byte("<gpx>" + strings.Repeat("<trk>", 100_000)), "refused", []string{"larger than the limit", "nest deeper than 64"}},
		{"attributes.gpx", []byte("<gpx " + strings.Repeat(`a="" `, 500_000) + "/>"), "refused", []string{"neither FIT, GPX nor TCX"}},
		{"4 GB.fit", claimingFIT(0xfffffff0), "refused", []string{"fit"}},
		{"billion.fit", recordsFIT(), "refused", []string{"fit"}},
		{"line.txt", bytes.Repeat([]byte("A"), 10<<20), "refused", []string{"neither FIT, GPX nor TCX"}},
		{"line.gpx", []byte("<gpx><trk><name>" + strings.Repeat("A", 10<<20) + "</name></trk></gpx>"), "refused", []string{"longer than 1 MiB"}},
		{"line.tcx", bytes.ReplaceAll(tcxOf(morning.Add(4*time.Hour), 20_000, rounds), []byte("\n"), nil), "read", nil},
		{"numbers.gpx", wildNumbers(), "salvaged", []string{"320 values could not be read as numbers"}},
		{"1970.gpx", at(time.Unix(0, 0)), "salvaged", []string{"dated 1970-01-01", "clock"}},
		{"2106.gpx", at(time.Date(2106, 2, 7, 6, 28, 0, 0, time.UTC)), "salvaged", []string{"dated 2106-02-07", "clock"}},
		{"year one.gpx", at(time.Date(1, 1, 1, 0, 0, 0, 0, time.UTC)), "salvaged", []string{"dated 0001-01-01", "clock"}},
		{"leap.gpx", bytes.ReplaceAll(at(time.Date(2016, 12, 31, 23, 59, 0, 0, time.UTC)), []byte("23:59:59Z"), []byte("23:59:60Z")), "read", nil},
		{"bad \xff name.gpx", ride, "refused", []string{"name", "cannot be shown"}},
		{"two\nlines.gpx", ride, "refused", []string{"name", "cannot be shown"}},
		{strings.Repeat("n", 251) + ".gpx", at(morning.Add(12 * time.Hour)), "read", nil},
		{"folder.fit/ride.gpx", at(morning.Add(13 * time.Hour)), "read", nil},
		{"../" + strings.Repeat("f", 255) + "/ride.gpx", ride, "refused", []string{"cannot be a client's", "longer than"}},
		{"../two\nlines/ride.gpx", ride, "refused", []string{"name", "cannot be shown"}},
		{"../a=b/ride.gpx", ride, "refused", []string{"cannot be a client's"}},
	}
}

// laughs is a document whose entities would grow to a gigabyte.
func laughs() []byte {
	var b strings.Builder
	b.WriteString("<!DOCTYPE gpx [<!ENTITY a0 'ha'>")
	for i := range 30 {
		fmt.Fprintf(&b, "<!ENTITY a%d '&a%d;&a%d;'>", i+1, i, i)
	}
	b.WriteString("]><gpx><trk><name>&a30;</name><trkseg><trkpt lat='1' lon='&a30;'><time>&a30;</time></trkpt></trkseg></trk></gpx>")
	return []byte(b.String())
}

// manyMembers is an archive of n empty files.
func manyMembers(t *testing.T, n int) []byte {
	t.Helper()
	var pairs []any
	for i := range n {
		pairs = append(pairs, fmt.Sprintf("%d.gpx", i), []byte("<gpx/>"))
	}
	return zipOf(t, pairs...)
}

// claimingZip is an archive whose directory claims 4 GB for a small export.
func claimingZip(t *testing.T, export []byte) []byte {
	t.Helper()
	data := zipOf(t, "ride.gpx", export)
	// The decoded size stands at 24 of a directory entry, PKWARE APPNOTE 4.3.12.
	entry := bytes.Index(data, []byte("PK\x01\x02"))
	binary.LittleEndian.PutUint32(data[entry+24:], 0xfffffffe)
	if _, err := zip.NewReader(bytes.NewReader(data), int64(len(data))); err != nil {
		t.Fatal(err)
	}
	return data
}

// claimingFIT is a FIT header that claims so many bytes of data and has none.
func claimingFIT(size uint32) []byte {
	header := []byte{14, 0x20, 0x64, 0x08, 0, 0, 0, 0, '.', 'F', 'I', 'T', 0, 0}
	binary.LittleEndian.PutUint32(header[4:], size)
	return header
}

// recordsFIT claims a billion records and holds ten million of a byte each:
// a definition without fields, and then nothing but its message.
func recordsFIT() []byte {
	definition := []byte{0x40, 0, 0, 20, 0, 0} // local 0, little endian, record, no fields
	body := append(definition, make([]byte, 10_000_000)...)
	return append(claimingFIT(1_000_000_000), body...)
}

// wildNumbers is an hour in which every tenth second holds what is no number.
func wildNumbers() []byte {
	lines := bytes.Split(gpxOf(morning.Add(14*time.Hour), 3600, rounds), []byte("\n"))
	wild := []string{"NaN", "Inf", "-Inf", "1e308", "-1", "1e-320", "0x7f", "", "１２０"}
	for i := range lines {
		if i%10 == 5 {
			lines[i] = bytes.Replace(lines[i], []byte("<x:hr>"), []byte("<x:hr>"+wild[i/10%len(wild)]+"</x:hr><x:hr>"), 1)
			lines[i] = bytes.Replace(lines[i], []byte(`lat="52.1"`), []byte(`lat="`+wild[i/10%len(wild)]+`"`), 1)
		}
	}
	return bytes.Join(lines, []byte("\n"))
}

// limitsToml sets the limits that this test would take too long to reach.
const limitsToml = "[limits]\nexport_bytes = 16777216\narchive_members = 200\n"

// mostMemory bounds what a run over all of it may hold, in MB: what two cores
// decode at once, and as much again until it is collected.
const mostMemory = 400

// runMeasured runs a practice in a process of its own and gives the most
// memory, in MB, that it held. What the system tells of an ended child counts
// in the parent's, which it shared for a moment.
func runMeasured(t *testing.T, dir string) (most int) {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), victimEnv+"="+dir, victimMemoryEnv+"=1")
	said, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, said)
	}
	_, peak, _ := strings.Cut(string(said), "VmHWM:")
	if _, err := fmt.Sscanf(peak, "%d kB", &most); err != nil {
		t.Fatalf("no peak in %q", said)
	}
	return most >> 10
}

// Whatever lies in the inbox, the run ends, says of each file what became of
// it, writes nothing outside the practice, and stays within bounds.
func TestHostileInbox(t *testing.T) {
	outer := t.TempDir()
	dir := filepath.Join(outer, "practice")
	put(t, dir, "practice.toml", limitsToml, "inbox/c1/good.gpx", gpxOf(morning.AddDate(0, 0, -1), 1200, rounds))
	trials := hostile(t)
	for _, tr := range trials {
		put(t, dir, "inbox/c1/"+tr.name, tr.data)
	}
	inbox := filepath.Join(dir, "inbox", "c1")
	secret := filepath.Join(outer, "secret.txt")
	put(t, outer, "secret.txt", "not for the inbox")
	for name, target := range map[string]string{
		"loop": ".", "self": "self", "gone": "nowhere", "zero.fit": "/dev/zero", "secret.txt": secret, "up": "../../..",
	} {
		must(t, os.Symlink(target, filepath.Join(inbox, name)))
	}
	must(t, syscall.Mkfifo(filepath.Join(inbox, "pipe.fit"), 0o600))
	links := []trial{
		{"loop", nil, "refused", []string{"a link to a folder"}}, {"up", nil, "refused", []string{"a link to a folder"}},
		{"self", nil, "refused", []string{"too many levels"}}, {"gone", nil, "refused", []string{"no such file"}},
		{"zero.fit", nil, "refused", []string{"a device"}}, {"pipe.fit", nil, "refused", []string{"a named pipe"}},
		{"secret.txt", nil, "refused", []string{"neither FIT, GPX nor TCX"}},
		{"good.gpx", nil, "read", nil},
	}
	before := names(t, outer)

	began := time.Now()
	most := runMeasured(t, dir)
	t.Logf("%d files took %v and at most %d MB", len(trials)+len(links), time.Since(began).Round(10*time.Millisecond), most)
	if most > mostMemory {
		t.Errorf("%d MB, more than %d", most, mostMemory)
	}

	rows := readTable[tables.File](t, dir, tables.Files, "c1")
	rows = append(rows, unplacedFiles(t, dir)...)
	for _, tr := range append(trials, links...) {
		checkTrial(t, tr, rows)
	}
	for path := range names(t, outer) {
		rel, _ := filepath.Rel(dir, path)
		if !before[path] && !strings.HasPrefix(rel, "out") && !strings.HasPrefix(rel, "store") {
			t.Errorf("%s was written", path)
		}
	}
	if data, err := os.ReadFile(secret); err != nil || string(data) != "not for the inbox" {
		t.Errorf("a file outside was changed: %q, %v", data, err)
	}
	// What the second night finds is known.
	if sum := runOnce(t, dir); sum.Refreshed.Measured != 0 {
		t.Errorf("the second run measured %d sessions", sum.Refreshed.Measured)
	}
}

// unplacedFiles are the rows of what lies in no client's folder.
func unplacedFiles(t *testing.T, dir string) []tables.File {
	t.Helper()
	file, err := os.ReadFile(filepath.Join(dir, "out", "parquet", "files", "no-client.parquet"))
	must(t, err)
	rows, err := tables.DecodeParquet[tables.File](tables.Files, file)
	must(t, err)
	return rows
}

// names lists everything below a folder.
func names(t *testing.T, dir string) map[string]bool {
	t.Helper()
	all := map[string]bool{}
	must(t, filepath.WalkDir(dir, func(path string, _ fs.DirEntry, err error) error {
		all[path] = true
		return err
	}))
	return all
}

// checkTrial finds the rows of one trial and compares them with what must be.
func checkTrial(t *testing.T, tr trial, rows []tables.File) {
	t.Helper()
	path := filepath.ToSlash(filepath.Join("c1", tr.name))
	path = strings.NewReplacer("\n", `\x0a`, "\xff", `\xff`).Replace(path)
	found := 0
	all := ""
	for _, r := range rows {
		if r.Path != path && !strings.HasPrefix(r.Path, path+"/") {
			continue
		}
		found++
		all += r.Reason
		if tr.name == "many.zip" && r.Path != path {
			continue // the members before the limit have reasons of their own
		}
		if r.Status != tr.status {
			t.Errorf("%.60q: %s (%s), want %s", r.Path, r.Status, r.Reason, tr.status)
		}
		if len(r.Reason) > 300 || strings.Contains(r.Reason, "\n") {
			t.Errorf("%.60q: %d bytes of reason: %.400q", r.Path, len(r.Reason), r.Reason)
		}
	}
	if found == 0 {
		t.Errorf("%.60q: no row", path)
	}
	for _, word := range tr.reason {
		if !strings.Contains(all, word) {
			t.Errorf("%.60q: the reason %.300q does not say %q", path, all, word)
		}
	}
}
