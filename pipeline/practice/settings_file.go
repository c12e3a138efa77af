package practice

import (
	"bytes"
	"errors"
	"io/fs"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

const settingsFile = "practice.toml"

// readSettings reads practice.toml over the defaults. A missing file leaves
// them as they are.
func (l *loader) readSettings() {
	l.p.Settings = DefaultSettings()
	text, err := l.open(settingsFile)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return
	case err != nil:
		l.report(Problem{File: settingsFile, What: "cannot be read: " + plainReason(err)})
		return
	}
	var tree map[string]any
	if err := toml.Unmarshal(text, &tree); err != nil {
		l.reportSyntax(err)
		return
	}
	lines := keyLines(text)
	read := map[string]int{} // the line of each setting that was taken
	for _, key := range leaves("", tree) {
		if l.readSetting(key, lookUp(tree, key), lines[key]) {
			read[key] = lines[key]
		}
	}
	l.checkOrder(read)
}

// readSetting puts one value into its setting, or reports why not.
func (l *loader) readSetting(key string, value any, line int) bool {
	i := slices.IndexFunc(settings, func(d setting) bool { return d.key == key })
	if i < 0 {
		l.report(Problem{settingsFile, line, key, "unknown setting" + nearest(key, settingKeys()),
			"boutwise init writes a " + settingsFile + " with every setting explained"})
		return false
	}
	if err := settings[i].set(&l.p.Settings, value); err != nil {
		what, remedy, _ := strings.Cut(err.Error(), "; ")
		l.report(Problem{settingsFile, line, key, what, remedy})
		return false
	}
	return true
}

// settingKeys lists every key.
func settingKeys() []string {
	keys := make([]string, len(settings))
	for i, d := range settings {
		keys[i] = d.key
	}
	return keys
}

// reportSyntax reports TOML that cannot be read at all.
func (l *loader) reportSyntax(err error) {
	p := Problem{File: settingsFile, What: strings.TrimPrefix(err.Error(), "toml: "), Remedy: `write one setting a line: name = value, text in "quotation marks"`}
	var at *toml.DecodeError
	if errors.As(err, &at) {
		p.Row, _ = at.Position()
	}
	l.report(p)
}

// leaves lists the dotted keys of every value that is not a table, sorted.
func leaves(prefix string, tree map[string]any) []string {
	var keys []string
	for name, value := range tree {
		if sub, ok := value.(map[string]any); ok && len(sub) > 0 {
			keys = append(keys, leaves(prefix+name+".", sub)...)
		} else {
			keys = append(keys, prefix+name)
		}
	}
	slices.Sort(keys)
	return keys
}

// lookUp finds a value by its dotted key. A key that itself holds a dot is
// not found, which is right: no setting has one.
func lookUp(tree map[string]any, key string) any {
	section, name, nested := strings.Cut(key, ".")
	if sub, ok := tree[section].(map[string]any); nested && ok {
		return lookUp(sub, name)
	}
	return tree[key]
}

// keyLines tells the line of every key in the file. The decoder gives a
// position only for the first thing that it objects to, while all problems
// are to be told at once; so the lines come from the parser underneath it,
// whose interface may change: should it, this function is all that must.
func keyLines(text []byte) map[string]int {
	lines := map[string]int{}
	var p unstable.Parser
	p.Reset(text)
	prefix := ""
	for p.NextExpression() {
		e := p.Expression()
		var parts []string
		offset := 0
		for it := e.Key(); it.Next(); {
			if len(parts) == 0 {
				offset = int(it.Node().Raw.Offset)
			}
			parts = append(parts, string(it.Node().Data))
		}
		key := strings.Join(parts, ".")
		if e.Kind == unstable.Table {
			prefix = key + "."
		} else {
			key = prefix + key
		}
		lines[key] = 1 + bytes.Count(text[:offset], []byte("\n"))
	}
	return lines
}
