package practice

import "fmt"

// nearest is a hint such as `, perhaps "power"`: the word of allowed that is
// fewest edits away, when that is at most a third of its length; else "".
func nearest(word string, allowed []string) string {
	best, fewest := "", len(word)+1
	for _, a := range allowed {
		if n := editDistance(word, a); n < fewest && 3*n <= max(len(a), 3) {
			best, fewest = a, n
		}
	}
	if best == "" {
		return ""
	}
	return fmt.Sprintf(", perhaps %q", best)
}

// editDistance counts the bytes to insert, delete or replace to turn a into
// b: Levenshtein's distance, by the usual two-row recurrence.
func editDistance(a, b string) int {
	above := make([]int, len(b)+1)
	for j := range above {
		above[j] = j
	}
	for i := range len(a) {
		row := make([]int, len(b)+1)
		row[0] = i + 1
		for j := range len(b) {
			replace := above[j]
			if a[i] != b[j] {
				replace++
			}
			row[j+1] = min(replace, above[j+1]+1, row[j]+1)
		}
		above = row
	}
	return above[len(b)]
}
