package practice

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/pelletier/go-toml/v2"
)

// TestTemplateLoads: what init writes loads to the defaults, and to a
// practice without clients.
func TestTemplateLoads(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new")
	if err := WriteTemplate(dir); err != nil {
		t.Fatal(err)
	}
	p, err := loadAsOf(dir, testDay)
	if err != nil {
		t.Fatal(err)
	}
	zone := cmpopts.IgnoreFields(Settings{}, "Location")
	if diff := cmp.Diff(DefaultSettings(), p.Settings, zone); diff != "" {
		t.Error(diff)
	}
	if n := len(p.Clients) + len(p.Measurements) + len(p.Bands) + len(p.Prescriptions); n != 0 {
		t.Errorf("%d rows in an empty practice", n)
	}
}

// TestTemplateIsNotTheDefaultsTwice: every line of the template is read, not
// only the defaults kept: changed values arrive.
func TestTemplateIsNotTheDefaultsTwice(t *testing.T) {
	text := strings.NewReplacer(
		`"UTC"`, `"Europe/Berlin"`, `"metric"`, `"imperial"`, "= false", "= true",
		"silent_days = 10", "silent_days = 11", "change_pct = 5.0", "change_pct = 6",
	).Replace(settingsTemplate())
	s := load(t, map[string]string{"practice.toml": text}).Settings
	if s.TimeZone != "Europe/Berlin" || s.Location.String() != "Europe/Berlin" || s.ReviewUnits != "imperial" ||
		!s.KeepPosition || !s.WriteSamples || s.Findings.SilentDays != 11 || s.Pacing.ChangePct != 6 {
		t.Errorf("settings %+v", s)
	}
}

// TestTemplateExamples: the rows that the help shows as examples are right.
func TestTemplateExamples(t *testing.T) {
	files := map[string]string{}
	for name, template := range map[string]string{
		clientsFile:       sheetTemplate(clientColumns, clientsHelp),
		measurementsFile:  sheetTemplate(measurementColumns, measurementsHelp()),
		bandsFile:         sheetTemplate(bandColumns, bandsHelp),
		prescriptionsFile: sheetTemplate(prescriptionColumns, prescriptionsHelp),
	} {
		rows := ""
		for line := range strings.Lines(template) {
			if example := strings.TrimPrefix(line, "# "); strings.HasPrefix(example, "c01,") || strings.HasPrefix(example, "*,") {
				rows += example
			}
		}
		if rows == "" {
			t.Errorf("%s shows no example", name)
		}
		files[name] = template + rows
	}
	load(t, files)
}

// TestTemplateOverwritesNothing, and keeps others out.
func TestTemplateOverwritesNothing(t *testing.T) {
	dir := folder(t, map[string]string{"clients.csv": "client_id\nmine\n"})
	if err := WriteTemplate(dir); err != nil {
		t.Fatal(err)
	}
	if got, _ := os.ReadFile(filepath.Join(dir, "clients.csv")); string(got) != "client_id\nmine\n" {
		t.Errorf("clients.csv became %q", got)
	}
	for _, name := range []string{"practice.toml", "bands.csv", "inbox"} {
		info, err := os.Stat(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		if info.Mode().Perm()&0o077 != 0 {
			t.Errorf("%s is open to others: %v", name, info.Mode())
		}
	}
}

// TestEverySettingIsDescribed: every field of Settings that a practice can
// choose has a key, and no two keys share a field or a name.
func TestEverySettingIsDescribed(t *testing.T) {
	var s Settings
	described := map[uintptr]string{}
	keys := map[string]bool{}
	for _, d := range settings {
		at := reflect.ValueOf(d.field(&s)).Pointer()
		if other := described[at]; other != "" {
			t.Errorf("%s and %s set the same field", d.key, other)
		}
		if keys[d.key] {
			t.Errorf("%s stands twice", d.key)
		}
		described[at], keys[d.key] = d.key, true
		if d.what == "" || d.source == "" {
			t.Errorf("%s is not explained", d.key)
		}
	}
	var walk func(v reflect.Value, name string)
	walk = func(v reflect.Value, name string) {
		if v.Kind() == reflect.Struct {
			for i := range v.NumField() {
				walk(v.Field(i), name+"."+v.Type().Field(i).Name)
			}
		} else if v.Kind() != reflect.Pointer && described[v.Addr().Pointer()] == "" {
			t.Errorf("no key sets %s", name)
		}
	}
	walk(reflect.ValueOf(&s).Elem(), "Settings")
}

// TestSectionsAreTogether: a TOML table may stand only once.
func TestSectionsAreTogether(t *testing.T) {
	if err := toml.Unmarshal([]byte(settingsTemplate()), new(map[string]any)); err != nil {
		t.Error(err)
	}
}
