package practice

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// WriteTemplate makes an empty practice in dir: the inbox, a practice.toml
// that explains every setting, and CSV files with header and instructions. A
// file that is already there stays as it is. Files and folders can be read by
// their owner only, for they hold what is known of people's health.
func WriteTemplate(dir string) error {
	if err := os.MkdirAll(filepath.Join(dir, "inbox"), 0o700); err != nil {
		return fmt.Errorf("practice folder: %w", err)
	}
	files := []struct{ name, text string }{
		{settingsFile, settingsTemplate()},
		{clientsFile, sheetTemplate(clientColumns, clientsHelp)},
		{measurementsFile, sheetTemplate(measurementColumns, measurementsHelp())},
		{bandsFile, sheetTemplate(bandColumns, bandsHelp)},
		{prescriptionsFile, sheetTemplate(prescriptionColumns, prescriptionsHelp)},
	}
	for _, f := range files {
		if err := writeNew(filepath.Join(dir, f.name), f.text); err != nil {
			return fmt.Errorf("practice folder: %w", err)
		}
	}
	return nil
}

// writeNew writes a file unless there is one of that name.
func writeNew(path, text string) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o600)
	if errors.Is(err, fs.ErrExist) {
		return nil
	}
	if err != nil {
		return err
	}
	_, err = f.WriteString(text)
	return errors.Join(err, f.Close())
}

// settingsTemplate is practice.toml with every setting at its default, what
// it does, and where the default comes from.
func settingsTemplate() string {
	var b strings.Builder
	b.WriteString("# The practice's settings. A line left out has the value shown here.\n")
	section := ""
	for _, d := range settings {
		if s := d.section(); s != section {
			section = s
			fmt.Fprintf(&b, "\n[%s]\n", section)
		}
		fmt.Fprintf(&b, "\n%s%s%s = %s\n", commented(d.what), commented("Source: "+d.source), d.name(), tomlValue(d.value))
	}
	return b.String()
}

// tomlValue writes a default as TOML.
func tomlValue(v any) string {
	switch x := v.(type) {
	case string:
		return fmt.Sprintf("%q", x)
	case float64:
		s := brief(x)
		if !strings.Contains(s, ".") {
			s += ".0"
		}
		return s
	}
	return fmt.Sprint(v)
}

// commentWidth keeps comment lines readable beside each other in an editor.
const commentWidth = 78

// commented breaks a sentence into comment lines.
func commented(sentence string) string {
	var b strings.Builder
	line := "#"
	for _, word := range strings.Fields(sentence) {
		if len(line)+1+len(word) > commentWidth {
			b.WriteString(line + "\n")
			line = "#"
		}
		line += " " + word
	}
	b.WriteString(line + "\n")
	return b.String()
}

// sheetTemplate is an empty CSV file: instructions as comments, then the
// header.
func sheetTemplate(columns []string, help []string) string {
	return "# " + strings.Join(help, "\n# ") + "\n" + strings.Join(columns, ",") + "\n"
}

var clientsHelp = []string{
	"One row a client. Lines that start with # are not read.",
	"client_id is the name of the client's folder in inbox/.",
	"sex: female or male or empty. hr_limiting_medication: yes or no or empty.",
	"c01,A. Example,1958,female,no",
}

var bandsHelp = []string{
	"Each row is a band's lower edge. A band reaches up to the next one's. Lines that start with # are not read.",
	"client_id * means every client. A client's own set replaces it whole from its date on.",
	"signal: " + strings.Join(bandSignals, ", ") + ". unit: " + strings.Join(bandUnitNames(), ", ") + ".",
	"Without any row: the intensity categories of Garber et al. 2011, by heart-rate reserve where the resting rate is known, else by maximal heart rate.",
	"*,2026-01-01,heart_rate,easy,0,pct_hr_reserve",
	"*,2026-01-01,heart_rate,steady,40,pct_hr_reserve",
	"*,2026-01-01,heart_rate,hard,60,pct_hr_reserve",
}

var prescriptionsHelp = []string{
	"A row holds from its date until the client's next row for the same session. Lines that start with # are not read.",
	"session: " + strings.Join(sessionKinds, ", ") + ". per_week 0 ends it.",
	"minutes is the whole session. rounds, work_s and recovery_s are for bursts and intervals only.",
	"c01,2026-01-01,base,3,40,,,",
	"c01,2026-02-02,base_with_bursts,1,40,5,60,60",
	"c01,2026-03-02,intervals,1,45,4,180,180",
}

// measurementsHelp explains measurements.csv with the words that it allows.
func measurementsHelp() []string {
	return []string{
		"One row a measurement. Lines that start with # are not read.",
		"The value in force on a day is the latest dated on or before it. Before the first day it is the first.",
		"quantity: " + strings.Join(quantityNames(), ", ") + ".",
		"c01,2026-01-01,resting_hr_bpm,62",
	}
}
