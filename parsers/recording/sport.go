package recording

import "strings"

// sportWords maps the words by which writers name a sport, in lower case.
// Common practice, no source.
var sportWords = map[string]Sport{
	"run": Running, "running": Running, "treadmill": Running, "jogging": Running,
	"walk": Walking, "walking": Walking, "hike": Walking, "hiking": Walking,
	"bike": Cycling, "biking": Cycling, "cycling": Cycling, "ride": Cycling,
	"bicycle": Cycling, "spinning": Cycling,
	"row": Rowing, "rowing": Rowing,
	"swim": Swimming, "swimming": Swimming,
	"elliptical": Elliptical,
	"transition": Transition,
}

// SportFromText reads a sport written as free text, word by word: "Indoor
// Cycling", "road_biking" and "VirtualRide" are all known by one of their
// words. Without a known word it is [Other].
func SportFromText(text string) (sport Sport, indoor bool) {
	sport = Other
	for _, word := range words(text) {
		switch word {
		case "indoor", "virtual", "treadmill", "trainer", "spinning":
			indoor = true
		}
		if known, ok := sportWords[word]; ok && sport == Other {
			sport = known
		}
	}
	return sport, indoor
}

// words splits at everything but letters, and before a capital that follows a
// small letter; in lower case.
func words(text string) []string {
	var b strings.Builder
	small := false
	for _, r := range text {
		letter := r >= 'a' && r <= 'z'
		capital := r >= 'A' && r <= 'Z'
		if capital && small {
			b.WriteByte(' ')
		}
		if !letter && !capital {
			r = ' '
		}
		b.WriteRune(r)
		small = letter
	}
	return strings.Fields(strings.ToLower(b.String()))
}
