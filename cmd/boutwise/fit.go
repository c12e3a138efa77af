package main

// section is a part of the summary that can be shown in part.
type section struct {
	items int
	first int // items that come before any more of the sections behind it
	// lines renders the section with its first n items, and says what it
	// leaves out. With none it is a line or nothing at all.
	lines func(n int) []string
}

// fit chooses how many items each section shows so that all lines together
// are at most rows: first what each section puts first, in the order of the
// sections, then every section in turn gets one more item until nothing fits.
func fit(rows int, sections ...section) [][]string {
	f := fitting{rows: rows, sections: sections, counts: make([]int, len(sections))}
	for _, s := range sections {
		f.shown = append(f.shown, s.lines(0))
		f.rows -= len(f.shown[len(f.shown)-1])
	}
	for i, s := range sections {
		for f.counts[i] < s.first && f.grow(i) {
		}
	}
	for grown := true; grown; {
		grown = false
		for i := range sections {
			grown = f.grow(i) || grown
		}
	}
	return f.shown
}

// fitting is the state of a fit.
type fitting struct {
	rows     int // still free
	sections []section
	counts   []int
	shown    [][]string
}

// grow shows one more item of a section where there is one and it fits.
func (f *fitting) grow(i int) bool {
	if f.counts[i] == f.sections[i].items {
		return false
	}
	lines := f.sections[i].lines(f.counts[i] + 1)
	need := len(lines) - len(f.shown[i])
	if need > f.rows {
		return false
	}
	f.rows -= need
	f.shown[i] = lines
	f.counts[i]++
	return true
}
