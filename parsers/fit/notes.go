package fit

import "fmt"

// notes counts what was repaired, by kind, in the order of first sight.
type notes struct {
	kinds  []string
	counts []int
	index  map[string]int
}

// kind gives the number of a kind of note, new or known, without counting.
func (n *notes) kind(text string) int {
	if i, ok := n.index[text]; ok {
		return i
	}
	if n.index == nil {
		n.index = map[string]int{}
	}
	n.index[text] = len(n.kinds)
	n.kinds, n.counts = append(n.kinds, text), append(n.counts, 0)
	return len(n.kinds) - 1
}

// count counts one more of a kind.
func (n *notes) count(kind int) { n.counts[kind]++ }

// add notes something for the first or a further time.
func (n *notes) add(text string) { n.count(n.kind(text)) }

// lines gives the notes that came up, each with its count where that is more
// than one.
func (n *notes) lines() (lines []string) {
	for i, text := range n.kinds {
		switch c := n.counts[i]; {
		case c == 1:
			lines = append(lines, text)
		case c > 1:
			lines = append(lines, fmt.Sprintf("%s (%d times)", text, c))
		}
	}
	return lines
}
