package review

import (
	"slices"
	"strings"
)

// hold is the coach's word for changing nothing.
const hold = "hold"

// stepsView is the steps that the coach might consider. What every one of them
// asks to mind is said once, before the names.
type stepsView struct {
	Count   int
	Caution string // common to all; "" for none
	Clients []stepView
	More    int // who are not in Clients
}

// stepView is one client's step.
type stepView struct {
	clientRow
	Mind string // the rest of the caution, for this client alone
}

// stepsShown is how many steps stand on the page with their cautions.
const stepsShown = 20

func viewSteps(rows []clientRow) stepsView {
	rows = slices.DeleteFunc(slices.Clone(rows), func(r clientRow) bool { return !r.Step() })
	view := stepsView{Count: len(rows)}
	rows, _ = cut(rows, stepsShown)
	view.More = view.Count - len(rows)
	common := commonSentences(rows)
	view.Caution = strings.Join(common, " ")
	for _, r := range rows {
		own := slices.DeleteFunc(sentences(r.Caution), func(s string) bool { return slices.Contains(common, s) })
		view.Clients = append(view.Clients, stepView{r, strings.Join(own, " ")})
	}
	return view
}

// commonSentences are those that stand in every row's caution.
func commonSentences(rows []clientRow) []string {
	if len(rows) == 0 {
		return nil
	}
	common := sentences(rows[0].Caution)
	for _, r := range rows[1:] {
		of := sentences(r.Caution)
		common = slices.DeleteFunc(common, func(s string) bool { return !slices.Contains(of, s) })
	}
	return common
}

// sentences parts a text after each full stop that a capital letter follows.
// Joined by blanks they are the text again.
func sentences(text string) []string {
	var list []string
	begin := 0
	for i := 0; i+2 < len(text); i++ {
		if text[i] == '.' && text[i+1] == ' ' && text[i+2] >= 'A' && text[i+2] <= 'Z' {
			list = append(list, text[begin:i+1])
			begin = i + 2
		}
	}
	if begin < len(text) {
		list = append(list, text[begin:])
	}
	return list
}
