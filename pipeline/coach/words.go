package coach

import (
	"fmt"
	"strings"
)

// count writes a number of things.
func count(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// apart writes two figures with the decimals given, or with as many more as it
// takes to tell them apart: a limit and what passed it never read the same.
func apart(a, b float64, decimals int) (string, string) {
	for ; ; decimals++ {
		x, y := fmt.Sprintf("%.*f", decimals, a), fmt.Sprintf("%.*f", decimals, b)
		if x != y || a == b || decimals >= 9 {
			return x, y
		}
	}
}

// ended closes a message that a sentence follows.
func ended(message string) string {
	if strings.HasSuffix(message, "?") {
		return message
	}
	return message + "."
}

// firstSessions names a client's first interval sessions, with what they are.
func firstSessions(n int) string {
	if n == 1 {
		return "the first interval session is"
	}
	return fmt.Sprintf("the first %d interval sessions are", n)
}

// capital begins a sentence.
func capital(text string) string { return strings.ToUpper(text[:1]) + text[1:] }
