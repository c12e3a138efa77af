package fit

import "fmt"

// notes counts what was repaired in one file. A file may define a message anew
// for every lap, and repeat a defect in many fields: what is the same repair is
// told once, with a count, or the reason in the files table would fill a page.
type notes struct {
	kinds []kind
	index map[[2]string]int // into kinds, by subject and repair
}

// kind is one repair of one thing.
type kind struct {
	subject string // the field, for example; "" where the repair says it all
	repair  string
	count   int
}

// kind gives the number of a repair of a subject, new or known, without
// counting: a plan is made before it is known whether it will be needed.
func (n *notes) kind(subject, repair string) int {
	key := [2]string{subject, repair}
	if i, ok := n.index[key]; ok {
		return i
	}
	if n.index == nil {
		n.index = map[[2]string]int{}
	}
	n.index[key] = len(n.kinds)
	n.kinds = append(n.kinds, kind{subject: subject, repair: repair})
	return len(n.kinds) - 1
}

// count counts one more of a kind.
func (n *notes) count(kind int) { n.kinds[kind].count++ }

// add notes a repair of a subject for the first or a further time.
func (n *notes) add(subject, repair string) { n.count(n.kind(subject, repair)) }

// lines gives the repairs that came up, in the order of first sight, one line
// each: the first subject, how many more there are, and how often in all.
func (n *notes) lines() (lines []string) {
	told := map[string]bool{}
	for _, first := range n.kinds {
		if first.count == 0 || told[first.repair] {
			continue
		}
		told[first.repair] = true
		subjects, times := 0, 0
		for _, k := range n.kinds {
			if k.repair == first.repair && k.count > 0 {
				subjects++
				times += k.count
			}
		}
		lines = append(lines, line(first, subjects, times))
	}
	return lines
}

// line words one repair.
func line(first kind, subjects, times int) string {
	text := first.repair
	if first.subject != "" {
		text = first.subject + ": " + text
	}
	if subjects > 1 {
		text = fmt.Sprintf("%s and %d more: %s", first.subject, subjects-1, first.repair)
	}
	if times > 1 {
		text += fmt.Sprintf(" (%d times)", times)
	}
	return text
}
