package parsers

import (
	"path"
	"strings"
	"unicode"
)

// cleanName makes a relative path of a member's name: slashes only, no drive,
// root or step upwards, nothing unprintable. flagged tells that there was more
// to it than turning backslashes round, which some archivers write.
func cleanName(name string) (clean string, flagged bool) {
	slashed := strings.ReplaceAll(name, `\`, "/")
	printable := strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) || r == unicode.ReplacementChar {
			return '_'
		}
		return r
	}, slashed)
	var parts []string
	for _, part := range strings.Split(printable, "/") {
		// "", ".", ".." and "C:" mean something to a file system.
		if part == "" || part == "." || part == ".." || strings.HasSuffix(part, ":") {
			flagged = true
			continue
		}
		parts = append(parts, part)
	}
	if len(parts) == 0 {
		return "unnamed", true
	}
	clean = strings.Join(parts, "/")
	return clean, flagged || printable != slashed
}

// junk tells whether a member is something that operating systems add to
// archives and folders, never an export.
func junk(name string) bool {
	name = strings.ReplaceAll(name, `\`, "/")
	base := path.Base(name)
	switch strings.ToLower(base) {
	case ".ds_store", "thumbs.db", "desktop.ini":
		return true
	}
	return strings.HasPrefix(base, "._") || strings.HasPrefix(name, "__MACOSX/") ||
		strings.Contains(name, "/__MACOSX/")
}
