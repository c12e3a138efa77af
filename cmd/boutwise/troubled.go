package main

import (
	"cmp"
	"fmt"
	"slices"

	"boutwise/pipeline/tables"
)

// The states of exports that need a look.
const (
	refused  = "refused"
	deferred = "deferred"
	salvaged = "salvaged"
)

// troubledOf gathers the exports that were refused, left for the next run or
// salvaged: in this order, of each the newest first.
func troubledOf(st standing) []tables.File {
	list := slices.Clone(st.Unplaced)
	for _, c := range st.Clients {
		list = append(list, c.Troubled...)
	}
	order := []string{refused, deferred, salvaged}
	slices.SortStableFunc(list, func(a, b tables.File) int {
		return cmp.Or(cmp.Compare(slices.Index(order, a.Status), slices.Index(order, b.Status)),
			cmp.Compare(unixOf(b), unixOf(a)), cmp.Compare(a.Path, b.Path))
	})
	return list
}

// exportSection lists the exports that need a look.
func exportSection(s screen, st standing) section {
	list := troubledOf(st)
	return section{len(list), troubledFirst, func(n int) []string {
		if len(list) == 0 {
			return nil
		}
		title := plural(len(list), "export needs", "exports need") + " a look"
		if n == 0 {
			counts := map[string]int{}
			for _, f := range list {
				counts[f.Status]++
			}
			return append([]string{""}, wrap(fmt.Sprintf("%s: %s. The morning page says why.", title, countText(counts)), "", s.width)...)
		}
		lines := []string{"", s.paint(inkStrong, title+".")}
		for _, f := range list[:n] {
			lines = append(lines, wrapPainted(s, inkWarn, f.Status, fmt.Sprintf("  %-9s ", f.Status), clean(f.Path+": "+f.Reason))...)
		}
		return append(lines, more(n, len(list), " in the files table")...)
	}}
}

func unixOf(f tables.File) int64 {
	if f.StartedUTC == nil {
		return 0
	}
	return f.StartedUTC.Unix()
}
