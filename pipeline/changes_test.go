package pipeline_test

import (
	"bytes"
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"boutwise/pipeline/calendar"
)

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
