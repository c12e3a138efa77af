package pipeline_test

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"boutwise/pipeline"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/durable"
)

var (
	sequences = flag.Int("sequences", 6, "how many sequences of changes and runs to try")
	firstSeed = flag.Uint64("sequences-from", 1, "the seed of the first sequence")
)

// Whatever happens to a practice, in whatever order, with runs that are cut
// short in between: the output is that of a fresh run on what it now is, byte
// for byte, and nothing besides lies in it.
func TestSequencesEqualAFreshRun(t *testing.T) {
	for i := range *sequences {
		seed := *firstSeed + uint64(i)
		if !t.Run(fmt.Sprint("seed ", seed), func(t *testing.T) { newLife(t, seed).live(t) }) {
			// one is enough to look into
		}
	}
}

// life is a practice, what was done to it, and what its store may know.
type life struct {
	dir   string
	rng   *rand.Rand
	asOf  calendar.Date
	clock time.Time // the time of the next file
	story []string  // what was done, to be told

	settings map[string]string            // practice.toml, by dotted key
	clients  map[string]string            // rows of clients.csv, by id
	sheets   map[string]map[string]string // rows of the dated sheets by file, then by what may stand there once

	inbox map[string]content // by path below the inbox
	// seen are all contents that an unchanged path may be known with: what is
	// gone from the inbox for good stays known, which a fresh run cannot know.
	seen   map[string][]content
	unread bool // something changed that Reprocess does not look at
}

// content is what a file of the inbox holds.
type content struct {
	name  string   // of the whole
	parts []string // the names of its exports, one unless it is an archive; none where nothing can be read
	data  []byte
}

func newLife(t *testing.T, seed uint64) *life {
	l := &life{
		dir: filepath.Join(t.TempDir(), "practice"), rng: rand.New(rand.NewPCG(seed, 77)), asOf: day("2026-01-20"),
		clock:    time.Date(2026, 2, 1, 12, 0, 0, 0, time.UTC),
		settings: map[string]string{"write_samples": "true"},
		clients:  map[string]string{"c1": "A. Example,1960,female,no", "c4": "Never Sent,1950,male,no"},
		sheets:   map[string]map[string]string{"bands.csv": {}, "measurements.csv": {}, "prescriptions.csv": {}},
		inbox:    map[string]content{}, seen: map[string][]content{},
	}
	for range 5 {
		l.add(t)
	}
	l.writeConfig(t)
	return l
}

// live changes the practice and runs it, by turns.
func (l *life) live(t *testing.T) {
	for range 7 {
		for range 1 + l.rng.IntN(3) {
			l.change(t)
		}
		l.writeConfig(t)
		switch l.rng.IntN(8) {
		case 6:
			l.damage(t)
			l.work(t, "run by check --repair", repair, false)
		case 7:
			l.forget(t)
		case 0, 1:
			l.work(t, "run", pipeline.Run, true)
		case 2:
			l.work(t, "reprocess", pipeline.Reprocess, true)
		case 3:
			l.work(t, "reprocess", pipeline.Reprocess, false)
		default:
			l.work(t, "run", pipeline.Run, false)
		}
		if t.Failed() {
			return
		}
	}
	l.work(t, "run", pipeline.Run, false)
}

// repair is a run that check --repair makes.
func repair(ctx context.Context, o pipeline.Options) (pipeline.Summary, error) {
	_, err := pipeline.Repair(ctx, o)
	return pipeline.Summary{}, err
}

// damage changes a byte of a published file.
func (l *life) damage(t *testing.T) {
	t.Helper()
	var files []string
	for path, sum := range tree(t, l.dir) {
		if sum != "folder" {
			files = append(files, path)
		}
	}
	if len(files) == 0 {
		return
	}
	slices.Sort(files)
	path := filepath.Join(l.dir, "out", pick(l.rng, files...))
	data, err := os.ReadFile(path)
	must(t, err)
	data[l.rng.IntN(len(data))] ^= 1
	must(t, os.WriteFile(path, data, 0o600))
	l.tell("a byte of %s", path)
}

// forget has a client forgotten, who stays in the inbox and is read again by
// the next run; at times it is cut short.
func (l *life) forget(t *testing.T) {
	t.Helper()
	client := pick(l.rng, "c1", "c2", "c3")
	o := l.options(l.dir)
	uncut := func() {}
	what := "forget " + client
	if l.rng.IntN(2) == 0 {
		what, uncut = l.cut(what, &o, 60)
	}
	l.story = append(l.story, what)
	err := pipeline.Forget(context.Background(), o, client)
	uncut()
	l.unread = true
	for _, harmless := range []string{"", errCut.Error(), pipeline.ErrUnknownClient.Error(), "still stands in", "run boutwise check --repair"} {
		if err == nil || harmless != "" && strings.Contains(err.Error(), harmless) {
			return
		}
	}
	t.Fatalf("%s\n%v", l.told(), err)
}

// cut makes all changes of the disk fail from one of the first on, as if the
// process ended there, or that one alone, which is a fault that passes.
func (l *life) cut(what string, o *pipeline.Options, first int) (told string, uncut func()) {
	at, passes := int64(1+l.rng.IntN(1+l.rng.IntN(first))), l.rng.IntN(3) == 0
	o.Workers = 1 // so that a seed tells the same story every time
	var changes atomic.Int64
	durable.Before = func(durable.Op, string) error {
		if n := changes.Add(1); n == at || n > at && !passes {
			return errCut
		}
		return nil
	}
	what = fmt.Sprintf("%s, cut short at change %d", what, at)
	if passes {
		what += ", a fault that passes"
	}
	return what, func() { durable.Before = nil }
}

// work runs or reprocesses the practice, to the end or to a random change of
// the disk, and holds the output against that of a fresh run.
func (l *life) work(t *testing.T, what string, how func(context.Context, pipeline.Options) (pipeline.Summary, error), cut bool) {
	t.Helper()
	reads := strings.HasPrefix(what, "run")
	if reads {
		for path, c := range l.inbox {
			l.seen[path] = append(l.seen[path], c)
		}
	}
	before := tree(t, l.dir)
	o := l.options(l.dir)
	if cut {
		var uncut func()
		what, uncut = l.cut(what, &o, 300)
		defer uncut()
	}
	l.story = append(l.story, what)
	sum, err := how(context.Background(), o)
	if err != nil && !reads && l.unread && strings.Contains(err.Error(), "boutwise run reads them again") {
		return // the run before was cut short after it read a trace anew
	}
	if err != nil && !errors.Is(err, errCut) {
		t.Fatalf("%s\n%v", l.told(), err)
	}
	if err != nil || !reads && l.unread {
		return
	}
	durable.Before = nil
	l.finished(t, what, reads, sum, before)
}

var errCut = errors.New("cut short")

// finished compares the output with that of a fresh run.
func (l *life) finished(t *testing.T, what string, read bool, sum pipeline.Summary, before map[string]string) {
	t.Helper()
	if read {
		l.unread, l.seen = false, map[string][]content{}
		for path, c := range l.inbox {
			l.seen[path] = []content{c}
		}
	}
	fresh := filepath.Join(t.TempDir(), "fresh")
	for _, name := range []string{"practice.toml", "clients.csv", "measurements.csv", "bands.csv", "prescriptions.csv"} {
		copyFile(t, filepath.Join(l.dir, name), filepath.Join(fresh, name))
	}
	must(t, os.CopyFS(filepath.Join(fresh, "inbox"), os.DirFS(filepath.Join(l.dir, "inbox"))))
	if _, err := pipeline.Run(context.Background(), l.options(fresh)); err != nil {
		t.Fatalf("%s\nfresh: %v", l.told(), err)
	}
	after := tree(t, l.dir)
	if diff := cmp.Diff(tree(t, fresh), after); diff != "" {
		t.Errorf("%s\noutput differs (-fresh +now):\n%s", l.told(), diff)
	}
	if faults, err := pipeline.Check(context.Background(), l.dir); err != nil || read && len(faults) > 0 {
		t.Errorf("%s\ncheck: %v, %v", l.told(), faults, err)
	}
	if len(before) > 0 && *strict {
		changed := 0
		for path, sum := range after {
			if sum != "folder" && before[path] != sum {
				changed++
			}
		}
		if sum.Refreshed.Files != changed {
			t.Errorf("%s\ncounted %d files, %d changed", l.told(), sum.Refreshed.Files, changed)
		}
	}
	os.RemoveAll(fresh)
}

var strict = flag.Bool("sequences-strict", false, "count files too")

func (l *life) told() string { return "  " + strings.Join(l.story, "\n  ") }

func (l *life) options(dir string) pipeline.Options {
	return pipeline.Options{Dir: dir, AsOf: l.asOf, Now: runTime}
}

// tree is all that lies in a practice's out: files by the checksum of their
// bytes, and folders.
func tree(t *testing.T, dir string) map[string]string {
	t.Helper()
	out := filepath.Join(dir, "out")
	all := map[string]string{}
	if _, err := os.Stat(out); err != nil {
		return all
	}
	must(t, filepath.WalkDir(out, func(path string, d os.DirEntry, err error) error {
		if err == nil && d.IsDir() {
			rel, _ := filepath.Rel(out, path)
			all[rel] = "folder"
		}
		return err
	}))
	maps.Copy(all, snapshot(t, out))
	return all
}

func day(s string) calendar.Date {
	d, err := calendar.ParseDate(s)
	if err != nil {
		panic(err)
	}
	return d
}

func pick[T any](rng *rand.Rand, of ...T) T { return of[rng.IntN(len(of))] }

// change does one thing to the practice.
func (l *life) change(t *testing.T) {
	t.Helper()
	rng := l.rng
	changes := []func(*testing.T){
		l.add, l.add, l.add, l.move, l.copyToAnother, l.removeCopy, l.archive, l.note,
		l.set, l.set, l.set, l.setOnce, l.client, l.client, l.band, l.band, l.measure, l.measure, l.prescribe,
		func(*testing.T) {
			l.asOf = day("2025-12-28") + calendar.Date(rng.IntN(60))
			l.tell("as of %s", l.asOf)
		},
		func(t *testing.T) { // what a coach tidies away
			gone := pick(rng, "out", "out/review", "out/parquet", "out/csv", "store/csv")
			l.tell("rm -r %s", gone)
			must(t, os.RemoveAll(filepath.Join(l.dir, filepath.FromSlash(gone))))
		},
	}
	pick(rng, changes...)(t)
}

func (l *life) tell(format string, a ...any) {
	l.story = append(l.story, "- "+fmt.Sprintf(format, a...))
}

// workouts begin in the days around new year, one of them across it in UTC,
// two within the grain of names, one in the same second as another.
var workouts = []time.Time{
	time.Date(2025, 12, 29, 7, 0, 0, 0, time.UTC),
	time.Date(2025, 12, 31, 23, 50, 0, 0, time.UTC),
	time.Date(2025, 12, 31, 23, 57, 0, 0, time.UTC), // named for the next year
	time.Date(2026, 1, 1, 11, 30, 0, 0, time.UTC),
	time.Date(2026, 1, 7, 18, 1, 0, 0, time.UTC),
	time.Date(2026, 1, 7, 18, 1, 0, 0, time.UTC),
	time.Date(2026, 1, 14, 18, 1, 0, 0, time.UTC),
}

// export draws one export of a workout: in one of two formats, whole, short,
// damaged, or from a second device that was started later.
func (l *life) export() (name, ext string, data []byte) {
	i := l.rng.IntN(len(workouts))
	start, n := workouts[i], 700+60*(i%3)
	kind := l.rng.IntN(7)
	switch kind {
	case 0:
		data, ext = gpxOf(start, n, rounds), "gpx"
	case 1:
		data, ext = gpxOf(start.Add(40*time.Second), n, rounds), "gpx" // a second device
	case 2:
		data, ext = tcxOf(start.Add(-time.Minute), n-100, rounds), "tcx" // started earlier
	case 3:
		data, ext = tcxOf(start, n, rounds), "tcx"
		data = data[:2*len(data)/3] // salvaged
	case 4:
		data, ext = tcxOf(start, n+1100, rounds), "tcx" // more than a limit takes
	case 5:
		second := tcxOf(start.Add(time.Hour), n, rounds)
		two := bytes.SplitAfter(tcxOf(start, n, rounds), []byte("</Activity>"))
		data, ext = slices.Concat(two[0], second[bytes.Index(second, []byte("<Activity ")):]), "tcx" // two recordings
	default:
		data, ext = tcxOf(start, n, rounds), "tcx"
	}
	return fmt.Sprintf("workout %d as %d", i, kind), ext, data
}

func (l *life) add(t *testing.T) {
	name, ext, data := l.export()
	path := fmt.Sprintf("%s/%c.%s", pick(l.rng, "c1", "c2", "c3"), 'a'+rune(l.rng.IntN(6)), ext)
	if l.rng.IntN(20) == 0 {
		path = "stray." + ext
	}
	l.putInbox(t, path, content{name, []string{name}, data})
}

func (l *life) archive(t *testing.T) {
	one, ext, data := l.export()
	two, ext2, data2 := l.export()
	c := content{"zip of " + one + ", " + two, []string{one, two}, zipOf(t, "one."+ext, data, "sub/two."+ext2, data2)}
	l.putInbox(t, pick(l.rng, "c1", "c2", "c3")+"/all.zip", c)
}

func (l *life) note(t *testing.T) {
	l.putInbox(t, pick(l.rng, "c1", "c2", "c3")+"/notes.txt", content{"a note", nil, []byte("slept badly")})
}

func (l *life) anyPath() (path string, ok bool) {
	if len(l.inbox) == 0 {
		return "", false
	}
	return pick(l.rng, slices.Sorted(maps.Keys(l.inbox))...), true
}

// move moves an export within the inbox, most often to another client.
func (l *life) move(t *testing.T) {
	from, ok := l.anyPath()
	if !ok {
		return
	}
	to := pick(l.rng, "c1", "c2", "c3") + "/" + pick(l.rng, "", "deep/") + filepath.Base(from)
	l.rearrange(t, fmt.Sprintf("move %s to %s", from, to), func(inbox map[string]content) {
		c := inbox[from]
		delete(inbox, from)
		inbox[to] = c
	})
}

func (l *life) copyToAnother(t *testing.T) {
	from, ok := l.anyPath()
	if !ok {
		return
	}
	l.putInbox(t, pick(l.rng, "c1", "c2", "c3")+"/"+pick(l.rng, "", "copies/")+filepath.Base(from), l.inbox[from])
}

// removeCopy deletes a file that nothing is lost with.
func (l *life) removeCopy(t *testing.T) {
	path, ok := l.anyPath()
	if ok {
		l.rearrange(t, "rm "+path, func(inbox map[string]content) { delete(inbox, path) })
	}
}

func (l *life) putInbox(t *testing.T, path string, c content) {
	l.rearrange(t, fmt.Sprintf("%s: %s", path, c.name), func(inbox map[string]content) { inbox[path] = c })
}

// rearrange changes the inbox, unless something that may be known would then
// be gone for good.
func (l *life) rearrange(t *testing.T, what string, how func(inbox map[string]content)) {
	t.Helper()
	inbox := maps.Clone(l.inbox)
	how(inbox)
	there := map[string]bool{}
	for path, c := range inbox {
		if !strings.Contains(path, "/") {
			continue // nobody's, and so not opened
		}
		for _, part := range c.parts {
			there[part] = true
		}
	}
	for path, contents := range l.seen {
		if _, present := inbox[path]; present {
			continue
		}
		for _, c := range contents {
			if slices.ContainsFunc(c.parts, func(part string) bool { return !there[part] }) {
				return
			}
		}
	}
	l.tell("%s", what)
	for path, c := range inbox {
		if have, ok := l.inbox[path]; ok && have.name == c.name {
			continue
		}
		at := filepath.Join(l.dir, "inbox", filepath.FromSlash(path))
		put(t, l.dir, "inbox/"+path, c.data)
		l.clock = l.clock.Add(time.Second)
		must(t, os.Chtimes(at, l.clock, l.clock))
	}
	for path := range l.inbox {
		if _, ok := inbox[path]; !ok {
			at := filepath.Join(l.dir, "inbox", filepath.FromSlash(path))
			must(t, os.Remove(at))
			for dir := filepath.Dir(at); os.Remove(dir) == nil && filepath.Base(filepath.Dir(dir)) != "inbox"; {
				dir = filepath.Dir(dir)
			}
		}
	}
	l.inbox, l.unread = inbox, true
}

// set changes a setting, or goes back to its default.
func (l *life) set(*testing.T) {
	values := map[string][]string{
		"time_zone":            {`"Pacific/Auckland"`, `"America/Los_Angeles"`, `"Europe/Lisbon"`},
		"units":                {`"imperial"`},
		"write_samples":        {"true", "true"},
		"bouts.min_confidence": {"0.4", "0.9", "0.95"},
		"pacing.change_pct":    {"1.5", "20.0"},
		"pacing.certainty":     {"0.0", "4.0"},
		"kinds.base_minutes":   {"5.0", "8.0"},
		"findings.silent_days": {"3"},
	}
	l.setOne(values)
}

// setOnce changes a setting that only the next run heeds.
func (l *life) setOnce(*testing.T) {
	l.setOne(map[string][]string{"keep_position": {"true"}, "limits.samples": {"1500", "1000"}})
	l.unread = true
}

func (l *life) setOne(values map[string][]string) {
	key := pick(l.rng, slices.Sorted(maps.Keys(values))...)
	delete(l.settings, key)
	if i := l.rng.IntN(len(values[key]) + 1); i > 0 {
		l.settings[key] = values[key][i-1]
	}
	l.tell("%s = %s", key, l.settings[key])
}

// client lists a client, in other words than before, or strikes the row out.
func (l *life) client(*testing.T) {
	id := pick(l.rng, "c1", "c2", "c3", "c4", "c5")
	delete(l.clients, id)
	if l.rng.IntN(3) > 0 {
		l.clients[id] = fmt.Sprintf("%s,%s,%s,%s", pick(l.rng, "A. Example", "B. Example", ""), pick(l.rng, "1950", "1961", ""),
			pick(l.rng, "female", "male", ""), pick(l.rng, "yes", "no"))
	}
	l.tell("clients.csv: %s,%s", id, l.clients[id])
}

func (l *life) date() string {
	return (day("2025-12-25") + calendar.Date(l.rng.IntN(30))).String()
}

// row puts the rows that hold for a client from a day on in a sheet, or takes
// them away.
func (l *life) row(sheet, client, date, what, rows string) {
	key := client + "," + date + "," + what
	delete(l.sheets[sheet], key)
	if l.rng.IntN(4) > 0 {
		l.sheets[sheet][key] = rows
	} else if keys := slices.Sorted(maps.Keys(l.sheets[sheet])); len(keys) > 0 {
		key = pick(l.rng, keys...)
		delete(l.sheets[sheet], key)
	}
	l.tell("%s: %s %q", sheet, key, l.sheets[sheet][key])
}

func (l *life) band(*testing.T) {
	client, date := pick(l.rng, "*", "c1", "c2", "c3"), l.date()
	signal, unit, low := "heart_rate", "bpm", 105+l.rng.IntN(40)
	switch l.rng.IntN(4) {
	case 0:
		signal, unit, low = "power", "w", 90+l.rng.IntN(110)
	case 1:
		unit, low = "pct_max_hr", 60+l.rng.IntN(25)
	}
	l.row("bands.csv", client, date, signal, fmt.Sprintf("%[1]s,%[2]s,%[3]s,low,0,%[5]s\n%[1]s,%[2]s,%[3]s,high,%[4]d,%[5]s", client, date, signal, low, unit))
}

func (l *life) measure(*testing.T) {
	client, date := pick(l.rng, "c1", "c2", "c3", "c4"), l.date()
	what, value := "max_hr_bpm", 160+l.rng.IntN(20)
	switch l.rng.IntN(3) {
	case 0:
		what, value = "resting_hr_bpm", 50+l.rng.IntN(20)
	case 1:
		what, value = "body_mass_kg", 60+l.rng.IntN(20)
	}
	l.row("measurements.csv", client, date, what, fmt.Sprintf("%s,%s,%s,%d", client, date, what, value))
}

func (l *life) prescribe(*testing.T) {
	client, date := pick(l.rng, "c1", "c2", "c3", "c4"), l.date()
	l.row("prescriptions.csv", client, date, "base", fmt.Sprintf("%s,%s,base,%d,%d,,,", client, date, l.rng.IntN(4), 10+l.rng.IntN(20)))
}

// writeConfig writes the practice's files. Rows of a client of whom nothing is
// known would be refused, and are left out.
func (l *life) writeConfig(t *testing.T) {
	t.Helper()
	toml := map[string][]string{}
	for _, key := range slices.Sorted(maps.Keys(l.settings)) {
		section, name, nested := strings.Cut(key, ".")
		if !nested {
			section, name = "", key
		}
		toml[section] = append(toml[section], name+" = "+l.settings[key])
	}
	text := strings.Join(toml[""], "\n") + "\n"
	for _, section := range slices.Sorted(maps.Keys(toml)) {
		if section != "" {
			text += "[" + section + "]\n" + strings.Join(toml[section], "\n") + "\n"
		}
	}
	known := map[string]bool{"*": true}
	clients := "client_id,name,birth_year,sex,hr_limiting_medication\n"
	for _, id := range slices.Sorted(maps.Keys(l.clients)) {
		known[id] = true
		clients += id + "," + l.clients[id] + "\n"
	}
	for path := range l.inbox {
		client, _, _ := strings.Cut(path, "/")
		known[client] = true
	}
	put(t, l.dir, "practice.toml", text, "clients.csv", clients)
	must(t, os.MkdirAll(filepath.Join(l.dir, "inbox"), 0o700))
	for sheet, header := range map[string]string{
		"bands.csv":         "client_id,effective_from,signal,band,lower,unit\n",
		"measurements.csv":  "client_id,date,quantity,value\n",
		"prescriptions.csv": "client_id,effective_from,session,per_week,minutes,rounds,work_s,recovery_s\n",
	} {
		for _, key := range slices.Sorted(maps.Keys(l.sheets[sheet])) {
			if client, _, _ := strings.Cut(key, ","); known[client] {
				header += l.sheets[sheet][key] + "\n"
			}
		}
		put(t, l.dir, sheet, header)
	}
}
