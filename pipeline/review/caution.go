package review

// Caution stands beside every suggestion. The row carries the cautions of the
// case; this one holds for all of them.
const Caution = "A suggestion is no prescription. It rests on exports alone: symptoms, illness, medication " +
	"and what the client says are not in it. Harder work waits for the clinician who knows the client."
