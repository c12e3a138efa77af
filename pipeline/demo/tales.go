package demo

// tale is a client's story: what is scripted, what ought to be seen of it,
// and what must never be suggested.
type tale struct {
	story, told string
	findings    script
	suggestions script
	never       []string
}

// script lists names by the weeks in which they are due.
type script []line

// line is one name and the weeks, counted from 1, in which it is due.
type line struct {
	name  string
	weeks []int
}

// expected dates a script.
func (s script) expected(cal calendar) []Expected {
	var all []Expected
	for _, l := range s {
		for _, week := range l.weeks {
			all = append(all, Expected{Week: week, ISOWeek: cal.isoWeek(week), Name: l.name})
		}
	}
	return all
}

// everyWeek is all twelve.
var everyWeek = []int{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12}

// tales are the stories by client.
var tales = map[string]tale{
	"c101": {
		story: "does as she is asked",
		told: "Two base sessions a week, then three; bursts from week 6; from week 9 one interval session a week " +
			"of four rounds of three minutes, the first three of them held back. Her heart rate stays where it should. " +
			"Nothing is wrong, and nothing above a note should be said.",
		suggestions: script{
			{SuggestBaseDay, []int{2}},
			{SuggestBeginBursts, []int{5}},
			{SuggestBeginIntervals, []int{8}},
		},
		never: []string{SuggestEaseBack},
	},
	"c102": {
		story: "goes out too fast",
		told: "Base and bursts go well. In the intervals from week 8 on he starts every four-minute bout far above " +
			"what he can hold and pays for it in the last quarter, in the first three sessions too, which were meant to be held back.",
		findings:    script{{FindingFastStart, []int{8, 9, 10, 11, 12}}},
		suggestions: script{{SuggestBeginBursts, []int{4}}, {SuggestBeginIntervals, []int{7}}, {SuggestEaseBack, []int{8, 9, 10}}},
		never:       []string{SuggestMoreRounds, SuggestLongerBouts},
	},
	"c103": {
		story: "never runs easily",
		told: "Three runs a week, prescribed as base. Every one is run at about three quarters of her heart rate reserve, " +
			"well above the band for base work.",
		findings: script{{FindingBaseAboveBand, everyWeek}},
		never:    []string{SuggestBeginBursts, SuggestBeginIntervals},
	},
	"c104": {
		story: "takes medication that limits heart rate",
		told: "He rides steadily three times a week, with bursts from week 7, on medication that holds his heart rate low. " +
			"Heart rate bands can say nothing about him; his output and his own rating can. One export breaks off half-way.",
		never: []string{SuggestEaseBack},
	},
	"c105": {
		story:    "vanishes",
		told:     "Three rides a week for seven weeks, all in order. The last upload brings an empty file too; after week 7 nothing comes any more.",
		findings: script{{FindingSilent, []int{9}}},
	},
	"c106": {
		story: "wears a flaky strap",
		told: "A fit runner who begins intervals in week 4 and does them well. His strap does not: it drops out in weeks 5 and 10, " +
			"freezes in week 7 and follows his steps in week 8.",
		findings:    script{{FindingSensor, []int{5, 7, 8, 10}}},
		suggestions: script{{SuggestBeginIntervals, []int{3}}},
		never:       []string{SuggestEaseBack},
	},
	"c107": {
		story: "walks uphill",
		told: "A walker of 76 on a treadmill at one speed. Six weeks of base, bursts by incline from week 7, hill intervals from " +
			"week 12: each step later than a younger client's. Her output is oxygen cost, from speed and grade.",
		suggestions: script{{SuggestBeginBursts, []int{6}}, {SuggestBeginIntervals, []int{11}}},
		never:       []string{SuggestEaseBack},
	},
	"c108": {
		story: "is ready for more",
		told: "He improves by about ten percent in twelve weeks. Maximal efforts in weeks 5 and 12 show it. Four rounds of four minutes " +
			"grow to five and then six. In week 6 he adds a second interval session a day after the first.",
		findings: script{{FindingTooClose, []int{6}}, {FindingTooManyInterval, []int{6}}},
		suggestions: script{
			{SuggestMoreRounds, []int{4, 8}},
		},
	},
}
